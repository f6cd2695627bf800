/** One draw: a tap or a valve opened once. */
export interface Draw {
  startS: number;
  /** Flow at 50 psi gauge; it goes with the root of the pressure. */
  flowM3PerS: number;
  /** What ends it: the volume delivered, or the time. */
  endsBy: 'volume' | 'time';
  /** m3 or s. */
  amount: number;
  what: string;
}
