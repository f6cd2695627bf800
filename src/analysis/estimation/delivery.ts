import type { Delivery, RunBalance } from './run-balance.ts';

/**
 * What the pump delivers, learnt run by run: a Kalman filter on (b0, b1), the delivery at the
 * middle of the switch band and its slope over tee pressure. One run in five is off by far more
 * than its own error (somebody opened a tap in it), so a surprising run counts less; two that
 * surprise alike in a row are a change, and are followed.
 */
export interface DeliveryState extends Delivery {
  runs: number;
  /** What the nameplates say: runs are asked against this until delivery is learnt. */
  anchor: Delivery;
  /** What it was when learnt, and how sure; NaN until then. */
  learntB0: number;
  learntRelStd: number;
  /** Sum and number of surprises of one sign in a row. */
  surprise: number;
  surprises: number;
  /** What the last run said against what was expected, relative, and in standard errors. */
  lastDeviation: number;
  lastDeviationStd: number;
  /** The last runs' deviations when each was asked with delivery left free. */
  free: number[];
  /** Slope over delivery that the same runs spoke for, and how surely (1/variance). */
  freeSlope: { slope: number; info: number }[];
  /** Running mean of the standardised deviation: belief that leans is belief held too firmly. */
  lean: number;
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
    anchor: { ...prior },
    runs: 0,
    learntB0: NaN,
    learntRelStd: NaN,
    surprise: 0,
    surprises: 0,
    lastDeviation: 0,
    lastDeviationStd: NaN,
    free: [],
    freeSlope: [],
    lean: 0,
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
  if (state.runs < FREE_KEPT) {
    learnFirst(state);
    return false;
  }
  state.lean += 0.2 * (Math.max(-2, Math.min(2, t)) - state.lean);
  if (Math.abs(state.lean) > LEANING) loosenDelivery(state);
  const changed = noteSurprise(state, deviation, t);
  if (changed) open(state, deviation);
  if (changed) {
    state.free = [];
    state.freeSlope = [];
  }
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

const FREE_KEPT = 9;
const FREE_LEAST = 0.06;

/**
 * The belief that a run is asked against: what is learnt, or before that and for an answer
 * without prejudice, what the nameplates say of a tank constant so many times the scale's.
 */
export function anchorOf(state: DeliveryState, tankFactor: number): Delivery {
  const { b0, b1, v00, v01, v11 } = state.anchor;
  const k = 1 / tankFactor;
  return { b0: b0 * k, b1: b1 * k, v00: v00 * k * k, v01: v01 * k * k, v11: v11 * k * k };
}

export const isLearning = (state: DeliveryState): boolean => state.runs < FREE_KEPT;

/** Of the first runs one in three may be off by a half: their median is believed. */
function learnFirst(state: DeliveryState): void {
  state.runs += 1;
  if (state.free.length > 0) believeMedian(state);
}

function believeMedian(state: DeliveryState): void {
  const { free, anchor } = state;
  const middle = median(free);
  const spread = 1.48 * median(free.map((v) => Math.abs(v - middle)));
  const std = Math.max(
    (1.25 * spread) / Math.sqrt(free.length),
    (0.08 / free.length) * middle,
    0.015 * middle,
  );
  const info = 1 / std ** 2 + 1 / anchor.v00;
  const { slope, variance } = believedSlope(state);
  state.b0 = (middle / std ** 2 + anchor.b0 / anchor.v00) / info;
  state.b1 = slope * state.b0;
  state.v00 = 1 / info;
  state.v01 = slope / info;
  state.v11 = slope ** 2 / info + variance * state.b0 ** 2;
}

/** Slope over delivery by the nameplates, and its variance. */
function nominalSlope({ anchor }: DeliveryState): { slope: number; variance: number } {
  const slope = anchor.b1 / anchor.b0;
  const variance = (anchor.v11 - slope ** 2 * anchor.v00) / anchor.b0 ** 2;
  return { slope, variance: Math.max(variance, 1e-6) };
}

/** No run is believed to know the slope better than this: a tap opened in it looks like one. */
const SLOPE_STD = 0.15;

/** The nameplates' slope as bettered by the runs that were asked without prejudice. */
function believedSlope(state: DeliveryState): { slope: number; variance: number } {
  const nominal = nominalSlope(state);
  let info = 1 / nominal.variance;
  let sum = nominal.slope * info;
  for (const run of state.freeSlope) {
    const weight = 1 / (1 / run.info + SLOPE_STD ** 2);
    info += weight;
    sum += weight * run.slope;
  }
  return { slope: sum / info, variance: 1 / info };
}

/**
 * What one run by itself says: delivery, the slope over it and how surely it knows that slope. The
 * nameplates' slope is no more than a prior: a pump behind a flow valve has none.
 */
export function ownAnswer(
  state: DeliveryState,
  run: Word,
): { b0: number; slope: number; slopeInfo: number } {
  const { slope, variance } = nominalSlope(state);
  const q = 1 / (variance * state.anchor.b0 ** 2);
  const a00 = run.i00 + q * slope * slope;
  const a01 = run.i01 - q * slope;
  const a11 = run.i11 + q;
  const det = a00 * a11 - a01 ** 2;
  const b0 = (a11 * run.h0 - a01 * run.h1) / det;
  const b1 = (a00 * run.h1 - a01 * run.h0) / det;
  // What the run knows of b1 once b0 is left to it, less what the prior knew.
  const own = run.i11 - (run.i00 > 0 ? run.i01 ** 2 / run.i00 : 0);
  const pure = own > 0 ? (run.h1 - (run.i01 * run.h0) / run.i00) / own : b1;
  return { b0, slope: own > 0 ? pure / b0 : slope, slopeInfo: Math.max(own, 0) * b0 ** 2 };
}

/**
 * Takes what a run says of delivery when asked against the nameplates alone: one such answer is
 * poor, the median of nine is not. When it stands clear of belief, belief has made up changes of
 * use to save itself, and is learnt anew from those nine. Returns whether it was.
 */
export function checkDelivery(state: DeliveryState, run: Word): boolean {
  const { b0, slope, slopeInfo } = ownAnswer(state, run);
  if (!Number.isFinite(b0) || !(b0 > 0)) return false;
  state.free.push(b0);
  state.freeSlope.push({ slope, info: slopeInfo });
  if (state.free.length > FREE_KEPT) {
    state.free.shift();
    state.freeSlope.shift();
  }
  if (state.free.length < FREE_KEPT || isLearning(state)) return false;
  const middle = median(state.free);
  const spread = 1.48 * median(state.free.map((v) => Math.abs(v - middle)));
  const off = middle / state.b0 - 1;
  const error = Math.max((1.25 * spread) / Math.sqrt(FREE_KEPT) / middle, 0.015);
  if (Math.abs(off) < FREE_LEAST || Math.abs(off) < 3 * error) return false;
  believeMedian(state);
  return true;
}

function median(values: number[]): number {
  const sorted = values.slice().sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)]!;
}

/** Beyond this the last runs' deviations have not been chance. */
const LEANING = 0.6;

/** Holds the belief less firmly by about a percent. */
export function loosenDelivery(state: DeliveryState): void {
  const by = 0.012;
  state.v00 += (by * state.b0) ** 2;
  state.v01 += by ** 2 * state.b0 * state.b1;
  state.v11 += (by * state.b1) ** 2;
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

/** The run's information, less what its scatter takes away: of all delivery, and of the slope. */
function withRunNoise(state: DeliveryState, run: Word): Word {
  const { b0, b1 } = state;
  return lessScatter(lessScatter(run, b0 * RUN_STD, b1 * RUN_STD), 0, b0 * SLOPE_STD);
}

/** Information of a run whose (b0, b1) are off by a random multiple of the vector (n0, n1). */
function lessScatter(run: Word, n0: number, n1: number): Word {
  const g0 = run.i00 * n0 + run.i01 * n1;
  const g1 = run.i01 * n0 + run.i11 * n1;
  const k = 1 / (1 + n0 * g0 + n1 * g1);
  const pull = n0 * run.h0 + n1 * run.h1;
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

/** The measure itself has changed (the gas is known better): all is learnt anew. */
export function reopenDelivery(state: DeliveryState): void {
  Object.assign(state, createDelivery(state.anchor));
}

/** Widens belief enough to follow a change of this relative size. */
function open(state: DeliveryState, deviation: number): void {
  state.v00 += (deviation * state.b0) ** 2;
  state.v01 += deviation ** 2 * state.b0 * state.b1;
  state.v11 += (deviation * state.b1) ** 2;
  state.surprises = 0;
}

/** Delivery is not believed to fall below this share of the nameplate's. */
const LEAST_SHARE = 0.02;

function update(state: DeliveryState, word: Word, trust: number): void {
  const anchorB0 = state.anchor.b0;
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
  // A pump that does nothing still does not draw water back: that is for other findings.
  state.b0 = Math.max(state.b0, LEAST_SHARE * anchorB0);
  state.v00 = a11 / after;
  state.v01 = -a01 / after;
  state.v11 = a00 / after;
}
