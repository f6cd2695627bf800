/** Time after which a start is over and the current is the running one, s. */
const SETTLED_S = 3;

/**
 * The device's own measure of a start: how long the current stayed above twice the value it has
 * once the motor runs. A motor that never gets there stays above for the whole time.
 */
export class StartClock {
  readonly #pieces: { amps: number; s: number }[] = [];
  #elapsedS = 0;
  #finished: number | null = null;
  #measuring = false;
  #before = 0;
  #usualA = Number.NaN;

  follow(amps: number, dtS: number): void {
    if (amps > 0 && this.#before === 0) {
      this.#measuring = true;
      this.#elapsedS = 0;
      this.#pieces.length = 0;
    }
    this.#before = amps;
    if (!this.#measuring) return;
    this.#pieces.push({ amps, s: dtS });
    this.#elapsedS += dtS;
    if (amps === 0 || this.#elapsedS >= SETTLED_S) this.#close(amps);
  }

  /** Without a running value yet, or with the rotor stalled, the last good one is the measure. */
  #close(amps: number): void {
    this.#measuring = false;
    const runs = amps > 0 && !(amps > 2 * this.#usualA);
    if (runs) this.#usualA = amps;
    if (Number.isNaN(this.#usualA)) return;
    const above = this.#pieces.filter((p) => p.amps > 2 * this.#usualA);
    this.#finished = above.reduce((sum, p) => sum + p.s, 0);
  }

  /** The last start's time, once. */
  take(): number | null {
    const value = this.#finished;
    this.#finished = null;
    return value;
  }
}
