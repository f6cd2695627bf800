import type { Delivery, RunBalance } from './run-balance.ts';

/**
 * What the pump delivers, learnt run by run: a Kalman filter on (b0, b1), the delivery at the
 * middle of the switch band and its slope over tee pressure. One run in five is off by far more
 * than its own error (somebody opened a tap in it), so a surprising run counts less; two that
 * surprise alike in a row are a change, and are followed.
 */
export interface DeliveryState extends Delivery {
  runs: number;
  /** What it was when learnt, and how sure; NaN until then. */
  learntB0: number;
  learntRelStd: number;
  /** Sum and number of surprises of one sign in a row. */
  surprise: number;
  surprises: number;
  /** What the last run said against what was expected, relative, and in standard errors. */
  lastDeviation: number;
  lastDeviationStd: number;
  /** Running square of the standardised deviation: how much wider the runs scatter than said. */
  scatter: number;
}

/** A run's delivery differs from the next one's by about this (line voltage, common practice). */
const RUN_STD = 0.008;
/** How far delivery wanders from run to run. */
const WANDER = 0.0015;
const SLOPE_WANDER = 0.002;
/** Runs until delivery counts as learnt. */
export const LEARNT_RUNS = 12;
const SURPRISE = 4;
const FREEDOM = 4;

export function createDelivery(prior: Delivery): DeliveryState {
  return {
    ...prior,
    runs: 0,
    learntB0: NaN,
    learntRelStd: NaN,
    surprise: 0,
    surprises: 0,
    lastDeviation: 0,
    lastDeviationStd: NaN,
    scatter: 1,
  };
}

/** Takes in one run. Returns whether the run changed what is believed by surprise. */
export function learnDelivery(state: DeliveryState, run: RunBalance): boolean {
  wander(state);
  const word = withRunNoise(state, run);
  const along = direction(word, state);
  if (!(along.info > 0)) return false;
  const priorRel = relativeStd(state);
  const deviation = along.pull / along.info;
  const std = Math.sqrt(1 / along.info + priorRel ** 2);
  const t = deviation / std;
  state.lastDeviation = deviation;
  state.lastDeviationStd = std;
  state.scatter += (Math.min(t * t, 25) - state.scatter) / 20;
  const changed = noteSurprise(state, deviation, t);
  if (changed) open(state, deviation);
  const trust = changed ? 1 : (FREEDOM + 1) / (FREEDOM + t * t);
  update(state, word, trust);
  state.runs += 1;
  if (state.runs === LEARNT_RUNS || (state.runs > LEARNT_RUNS && state.runs <= 2 * LEARNT_RUNS)) {
    // The baseline itself firms up while the first runs come in.
    state.learntB0 = state.b0;
    state.learntRelStd = relativeStd(state);
  }
  return changed;
}

/** Relative standard error of delivery at the middle of the band. */
export function relativeStd(state: Delivery): number {
  return Math.sqrt(Math.max(state.v00, 0)) / Math.max(Math.abs(state.b0), 1e-12);
}

function wander(state: DeliveryState): void {
  state.v00 += (WANDER * state.b0) ** 2;
  state.v01 += WANDER ** 2 * state.b0 * state.b1;
  state.v11 += (WANDER * state.b1) ** 2 + (SLOPE_WANDER * state.b0) ** 2 / 50;
}

interface Word {
  i00: number;
  i01: number;
  i11: number;
  h0: number;
  h1: number;
}

/** The run's information, less what its own scatter of RUN_STD along (b0, b1) takes away. */
function withRunNoise(state: Delivery, run: Word): Word {
  const g0 = run.i00 * state.b0 + run.i01 * state.b1;
  const g1 = run.i01 * state.b0 + run.i11 * state.b1;
  const mass = state.b0 * g0 + state.b1 * g1;
  const k = 1 / (1 / RUN_STD ** 2 + mass);
  const pull = state.b0 * run.h0 + state.b1 * run.h1;
  return {
    i00: run.i00 - k * g0 * g0,
    i01: run.i01 - k * g0 * g1,
    i11: run.i11 - k * g1 * g1,
    h0: run.h0 - k * g0 * pull,
    h1: run.h1 - k * g1 * pull,
  };
}

/** How far, along a change of all delivery in proportion, the run pulls; and how surely. */
function direction(word: Word, state: Delivery): { pull: number; info: number } {
  const e0 = word.h0 - word.i00 * state.b0 - word.i01 * state.b1;
  const e1 = word.h1 - word.i01 * state.b0 - word.i11 * state.b1;
  const info =
    word.i00 * state.b0 ** 2 + 2 * word.i01 * state.b0 * state.b1 + word.i11 * state.b1 ** 2;
  return { pull: state.b0 * e0 + state.b1 * e1, info };
}

function noteSurprise(state: DeliveryState, deviation: number, t: number): boolean {
  if (Math.abs(t) < SURPRISE || Math.abs(deviation) < 0.03) {
    state.surprises = 0;
    state.surprise = 0;
    return false;
  }
  if (state.surprise * deviation < 0) state.surprises = 0;
  state.surprises += 1;
  state.surprise = deviation;
  return state.surprises >= 2;
}

/** Widens belief enough to follow a change of this relative size. */
function open(state: DeliveryState, deviation: number): void {
  state.v00 += (deviation * state.b0) ** 2;
  state.v01 += deviation ** 2 * state.b0 * state.b1;
  state.v11 += (deviation * state.b1) ** 2;
  state.surprises = 0;
}

function update(state: Delivery, word: Word, trust: number): void {
  const det = state.v00 * state.v11 - state.v01 ** 2;
  const q00 = state.v11 / det;
  const q01 = -state.v01 / det;
  const q11 = state.v00 / det;
  const a00 = q00 + trust * word.i00;
  const a01 = q01 + trust * word.i01;
  const a11 = q11 + trust * word.i11;
  const r0 = q00 * state.b0 + q01 * state.b1 + trust * word.h0;
  const r1 = q01 * state.b0 + q11 * state.b1 + trust * word.h1;
  const after = a00 * a11 - a01 ** 2;
  state.b0 = (a11 * r0 - a01 * r1) / after;
  state.b1 = (a00 * r1 - a01 * r0) / after;
  state.v00 = a11 / after;
  state.v01 = -a01 / after;
  state.v11 = a00 / after;
}
