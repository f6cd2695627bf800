/** The clock of the service. */
export interface Clock {
  /** Unix s. */
  nowS(): number;
}
