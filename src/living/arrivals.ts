/** Readings wait at least and at most this long for others that come out of order, s. */
const LEAST_HOLD_S = 2;
const MOST_HOLD_S = 90;
/** Held back is a little more than was needed on this day and the one before. */
const MARGIN = 1.25;
const DAY_S = 86_400;
/** Readings later than that are gathered until none has come for so long, or the first waits. */
const SETTLED_S = 2;
const LONGEST_GATHER_S = 30;
/** Times ahead of the clock that are remembered one by one; of those beyond, the latest. */
const MOST_AHEAD = 4096;
/** Packs come this many pauses apart before one is too long, of so many that are remembered. */
const PAUSES = 2;
const PAUSES_KEPT = 8;
const PAUSES_LEAST = 3;
/** Less than a reading's time can tell. */
const JUST_S = 1e-6;

/**
 * How readings come in, to say how far the analysis may go: in order of time, with a short
 * hold-back for devices that are a little out of step, and never ahead of the clock. The hold-back
 * only says when something is analysed, never what comes of it.
 */
export class Arrivals {
  /** The latest reading that is not ahead of the clock, Unix s. */
  newestS = NaN;
  /** The earliest reading that came after the analysis had passed it; NaN without one. */
  lateFromS = NaN;
  #ahead: number[] = [];
  #lastArrivalS = NaN;
  #pausesS: number[] = [];
  #lateSinceS = NaN;
  #lateLastS = NaN;
  #day = NaN;
  #needS = 0;
  #neededBeforeS = 0;

  /** A reading that was there before; NaN for none. */
  start(nowS: number, timeS: number): void {
    if (timeS > nowS) this.#ahead.push(timeS);
    else if (!(timeS <= this.newestS)) this.newestS = timeS;
  }

  /** A pack was kept: its earliest new reading, and each of its times. */
  note(nowS: number, earliestS: number, timeS: Iterable<number>): void {
    this.#passAhead(nowS);
    this.#noteLateness(nowS, this.newestS - earliestS);
    for (const at of timeS) {
      if (!(at > nowS)) this.newestS = Math.max(Number.isNaN(this.newestS) ? at : this.newestS, at);
      else if (this.#ahead.length < MOST_AHEAD) this.#ahead.push(at);
      else this.#ahead.push(Math.max(at, this.#ahead.pop()!));
    }
    this.#notePause(nowS - this.#lastArrivalS);
    this.#lastArrivalS = nowS;
  }

  /** A pause between packs is usual up to this, s; NaN while that is not known. */
  get usualPauseS(): number {
    if (this.#pausesS.length < PAUSES_LEAST) return NaN;
    const sorted = this.#pausesS.toSorted((a, b) => a - b);
    return PAUSES * sorted[sorted.length >> 1]!;
  }

  noteLate(nowS: number, fromS: number): void {
    if (Number.isNaN(this.lateFromS)) this.#lateSinceS = nowS;
    this.lateFromS = Number.isNaN(this.lateFromS) ? fromS : Math.min(this.lateFromS, fromS);
    this.#lateLastS = nowS;
  }

  /** Whether late readings have come to an end, as far as can be said. */
  isLateSettled(nowS: number): boolean {
    if (Number.isNaN(this.lateFromS)) return false;
    // A clock that is set meanwhile must not make them wait.
    const quietS = Math.abs(nowS - this.#lateLastS);
    return quietS >= SETTLED_S || Math.abs(nowS - this.#lateSinceS) >= LONGEST_GATHER_S;
  }

  /** The late readings are dealt with. */
  takeLate(): number {
    const fromS = this.lateFromS;
    this.lateFromS = NaN;
    return fromS;
  }

  /** Up to where (and not with it) the analysis may go, Unix s; NaN before any reading. */
  goalS(nowS: number): number {
    this.#passAhead(nowS);
    const newestS = Math.min(this.newestS, nowS);
    const holdS = this.holdBackS;
    const isQuiet = !(Math.abs(nowS - this.#lastArrivalS) < holdS);
    return isQuiet ? newestS + JUST_S : newestS - holdS;
  }

  get holdBackS(): number {
    const neededS = MARGIN * Math.max(this.#needS, this.#neededBeforeS);
    return Math.min(MOST_HOLD_S, Math.max(LEAST_HOLD_S, neededS));
  }

  /** Packs that come at once, as of several devices, are one. */
  #notePause(pauseS: number): void {
    if (!(pauseS >= 1)) return;
    this.#pausesS.push(pauseS);
    if (this.#pausesS.length > PAUSES_KEPT) this.#pausesS.shift();
  }

  #noteLateness(nowS: number, lateS: number): void {
    const day = Math.floor(nowS / DAY_S);
    if (day !== this.#day) {
      this.#neededBeforeS = day - this.#day === 1 ? this.#needS : 0;
      this.#needS = 0;
      this.#day = day;
    }
    if (lateS > this.#needS && MARGIN * lateS <= MOST_HOLD_S) this.#needS = lateS;
  }

  #passAhead(nowS: number): void {
    if (this.#ahead.length === 0) return;
    const passed = this.#ahead.filter((at) => at <= nowS);
    if (passed.length === 0) return;
    this.#ahead = this.#ahead.filter((at) => at > nowS);
    for (const at of passed) if (!(at <= this.newestS)) this.newestS = at;
  }
}
