/**
 * When water last stood still: at rest, with the tank giving less than a small share of what the
 * pump brings. A house stops many times a day; what has burst never does.
 */
export interface Stillness {
  /** The last moment at which it did, or from which nothing is known; NaN before any. */
  stillS: number;
  /** Where the stretch in hand began: time and gas volume. */
  fromS: number;
  fromVolume: number;
  /** The last reading of pressure, and the first after the last silence. */
  lastS: number;
  heardS: number;
}

/** A stretch of rest that is long enough to tell, s. */
const STRETCH_S = 60;
/** Of a longer silence nothing is known, s. */
const SILENT_S = 1800;
/** Leaks of taps and valves are slower, a burst pipe faster: share of the pump's delivery. */
const STILL_SHARE = 0.12;

export function createStillness(): Stillness {
  return { stillS: NaN, fromS: NaN, fromVolume: NaN, lastS: NaN, heardS: NaN };
}

/** A reading of pressure, at rest or not: what water did in a silence before it nobody knows. */
export function hearStillness(state: Stillness, timeS: number): void {
  if (timeS - state.lastS > SILENT_S) {
    state.stillS = timeS;
    state.heardS = timeS;
    breakStretch(state);
  }
  state.lastS = timeS;
}

/** A reading at rest; `perMin` is what the pump brings, in the same units a minute. */
export function stepStillness(
  state: Stillness,
  { timeS, volume }: { timeS: number; volume: number },
  perMin: number,
): void {
  if (Number.isNaN(state.stillS)) state.stillS = timeS;
  const passedS = timeS - state.fromS;
  if (passedS < STRETCH_S) return;
  const slow = (volume - state.fromVolume) / (passedS / 60) < STILL_SHARE * perMin;
  if (slow) state.stillS = timeS;
  state.fromS = timeS;
  state.fromVolume = volume;
}

/** The pump starts: a stretch does not go on over it. */
export function breakStretch(state: Stillness): void {
  state.fromS = NaN;
  state.fromVolume = NaN;
}
