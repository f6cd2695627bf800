/** One row as a device reports it; null is no reading of that channel. */
export interface Row {
  /** Time by the device's clock, Unix s; small numbers where the clock was never set. */
  timeS: number;
  pressurePaGauge: number | null;
  currentA: number | null;
  /** Greatest half-cycle RMS since the last row. */
  currentPeakA: number | null;
  /** How long the current stayed above twice its running value at the last start. */
  startTimeS: number | null;
  mainsV: number | null;
  airK: number | null;
  /** Starts of the device, rows of this start, and seconds since it. */
  boot: number;
  seq: number;
  uptimeS: number;
}
