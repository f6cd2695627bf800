import type { BucketTest } from '../../model/well.ts';
import {
  breakTankGas,
  createTankGas,
  gasExpansion,
  stepTankGas,
  type TankGas,
} from './tank-gas.ts';

/**
 * A bucket test: a measured volume drawn with the pump's breaker off gives the tank constant,
 * volume over change of (e^theta / P). The readings around it are kept, so that what is learnt of
 * the gas later still betters the result.
 */
const BEFORE_S = 540;
const AFTER_S = 480;
/** Start and stop in the well file are good to two minutes. */
const CLOCK_S = 120;
const NO_RUN_S = 300;
const POINTS = 2000;

export interface BucketRecord {
  index: number;
  startS: number;
  stopS: number;
  volumeM3: number;
  volumeM3Std: number;
  /** Time and absolute pressure, flat. */
  readings: number[];
  runNear: boolean;
  /** The nearest stop before and start after the test: between them nothing pumped. */
  clearFromS: number;
  clearToS: number;
  /** The gas as it was known soon after the test, once it was known well; null until then. */
  shares: number[] | null;
}

export interface BucketResult {
  index: number;
  tankConstantPaM3: number;
  std: number;
  problem: null;
}

export interface BucketProblem {
  index: number;
  problem: 'run-near' | 'few-readings' | 'no-draw' | 'not-in-log';
}

export function createBucketRecords(tests: BucketTest[]): BucketRecord[] {
  return tests.map((test, index) => ({
    ...test,
    index,
    readings: [],
    runNear: false,
    clearFromS: -Infinity,
    clearToS: Infinity,
    shares: null,
  }));
}

/** Keeps a reading [s, Pa absolute] that stands near a test. */
export function stepBucket(records: BucketRecord[], timeS: number, pressurePa: number): void {
  for (const record of records) {
    if (timeS < record.startS - BEFORE_S || timeS > record.stopS + AFTER_S) continue;
    const last = record.readings[record.readings.length - 2];
    if (last !== undefined && timeS - last < 0.95) continue;
    if (record.readings.length < 2 * POINTS) record.readings.push(timeS, pressurePa);
  }
}

export function noteRunNearBucket(records: BucketRecord[], startS: number, stopS: number): void {
  for (const record of records) {
    const clear = startS > record.stopS + NO_RUN_S || stopS < record.startS - NO_RUN_S;
    if (!clear) record.runNear = true;
    else if (startS > record.stopS) record.clearToS = Math.min(record.clearToS, startS);
    else record.clearFromS = Math.max(record.clearFromS, stopS);
  }
}

/** Quiet stops that make the gas well known. */
const KNOWN_STOPS = 12;

/** Keeps the gas as first well known after the test: what befalls the tank later is not its. */
export function noteGasForBuckets(records: BucketRecord[], gas: TankGas, timeS: number): void {
  if (gas.stops < KNOWN_STOPS) return;
  for (const record of records)
    if (record.shares === null && timeS > record.stopS + AFTER_S)
      record.shares = gas.shares.slice();
}

/** Works out one test with the gas as it is known now; noise is that of pressure [Pa]. */
export function evaluateBucket(
  record: BucketRecord,
  known: Pick<TankGas, 'shares'>,
  noisePa: number,
): BucketResult | BucketProblem {
  const { index } = record;
  if (record.runNear) return { index, problem: 'run-near' };
  const n = record.readings.length / 2;
  if (n === 0) return { index, problem: 'not-in-log' };
  const { timeS, inverse } = inverseVolumes(record, record.shares ?? known.shares);
  const edges = findDraw(record, timeS, inverse, noisePa);
  if (edges === null) return { index, problem: 'no-draw' };
  const step = stepBetween(record, { timeS, values: inverse, edges, noisePa });
  if (step === null || !(step.change > 0)) return { index, problem: 'few-readings' };
  const mean = inverse.reduce((sum, v) => sum + v, 0) / n;
  const noise = (noisePa * mean * mean) / Math.sqrt(step.points / 2);
  const warmth = thermalShare(record, timeS, inverse, edges, step.change);
  const rel = Math.hypot(
    record.volumeM3Std / record.volumeM3,
    (noise * 2) / step.change,
    0.12 * warmth,
    step.scatter < STEADY ? 0.008 : 0.03,
  );
  const tankConstantPaM3 = record.volumeM3 / step.change;
  return { index, tankConstantPaM3, std: tankConstantPaM3 * rel, problem: null };
}

/** e^theta / P over time: gas volume over tank constant [1/Pa]. */
function inverseVolumes(
  record: BucketRecord,
  shares: number[],
): { timeS: number[]; inverse: number[] } {
  const gas = createTankGas();
  breakTankGas(gas);
  gas.shares = shares;
  const timeS: number[] = [];
  const inverse: number[] = [];
  for (let i = 0; i < record.readings.length; i += 2) {
    stepTankGas(gas, record.readings[i]!, record.readings[i + 1]!);
    timeS.push(record.readings[i]!);
    inverse.push(gasExpansion(gas) / record.readings[i + 1]!);
  }
  return { timeS, inverse };
}

interface Edges {
  fromS: number;
  toS: number;
}

/** The draw nearest the stated times: where the gas volume leaves its first and meets its last. */
function findDraw(
  record: BucketRecord,
  timeS: number[],
  inverse: number[],
  noisePa: number,
): Edges | null {
  const beforeS = record.startS - CLOCK_S - 5;
  const afterS = record.stopS + CLOCK_S + 5;
  const before = meanBetween(
    timeS,
    inverse,
    Math.max(record.clearFromS + 60, beforeS - 180),
    beforeS,
  );
  const after = meanBetween(timeS, inverse, afterS, Math.min(record.clearToS - 5, afterS + 180));
  const rise = after - before;
  const noise = noisePa * before * before;
  if (!(rise > 8 * noise)) return null;
  const margin = Math.max(0.03 * rise, 3 * noise);
  const middle = timeS.findIndex(
    (t, i) => t > record.startS - CLOCK_S && inverse[i]! > before + rise / 2,
  );
  if (middle < 0) return null;
  let first = middle;
  while (first > 0 && inverse[first]! > before + margin) first -= 1;
  let last = middle;
  while (last < timeS.length - 1 && inverse[last]! < after - margin) last += 1;
  // Of a device that reports on change, the readings at the edges still belong to the rests.
  const sparse = (i: number): boolean => timeS[i + 1]! - timeS[i]! > SPARSE_S;
  return {
    fromS: timeS[first]! + (sparse(first) ? BEFORE_DRAW_S : 0),
    toS: timeS[last]! - (sparse(last) ? AFTER_DRAW_S : 0),
  };
}

function meanBetween(timeS: number[], values: number[], fromS: number, toS: number): number {
  const inside = values.filter((_, i) => timeS[i]! >= fromS && timeS[i]! <= toS);
  return inside.reduce((sum, v) => sum + v, 0) / inside.length;
}

/** Longest stretches looked at on both sides; shorter ones are tried where somebody drew water. */
const SIDES_S = [300, 480, 180, 120, 80];
/** Steady change of volume in a test, relative, a second. */
const SLOPE_STD = 2e-6;
const SPARSE_S = 20;
/** The valve is being opened. */
const BEFORE_DRAW_S = 3;
/** The valve is being closed and the gas is at its coldest until then. */
const AFTER_DRAW_S = 30;

interface Trace {
  timeS: number[];
  values: number[];
  edges: Edges;
  noisePa: number;
}

interface Step {
  change: number;
  points: number;
  /** Scatter about the two lines over the noise. */
  scatter: number;
}

/** Scatter up to this is noise; more, and somebody drew water beside the test. */
const STEADY = 1.8;

/** The step between two lines of one slope, before and after the draw, by least squares. */
function stepBetween(record: BucketRecord, trace: Trace): Step | null {
  let best: Step | null = null;
  for (const sideS of SIDES_S) {
    const { edges } = trace;
    const fromS = Math.max(edges.fromS - sideS, record.clearFromS + 60);
    const toS = Math.min(edges.toS + AFTER_DRAW_S + sideS, record.clearToS - 5);
    const step = fitSides(trace, fromS, toS);
    if (step !== null && (best === null || step.scatter < best.scatter)) best = step;
    if (best !== null && best.scatter < STEADY) break;
  }
  return best;
}

function fitSides(trace: Trace, fromS: number, toS: number): Step | null {
  const { timeS, values, edges } = trace;
  const a = pick(timeS, values, fromS, edges.fromS - BEFORE_DRAW_S);
  const b = pick(timeS, values, edges.toS + AFTER_DRAW_S, toS);
  if (a.t.length < 2 || b.t.length < 2) return null;
  let xx = 0;
  let xy = 0;
  for (const side of [a, b])
    for (let i = 0; i < side.t.length; i++) {
      xx += (side.t[i]! - side.meanT) ** 2;
      xy += (side.t[i]! - side.meanT) * (side.v[i]! - side.meanV);
    }
  // A loss of more than this is seen in the log's rests; a few readings must not make one up.
  const noise = trace.noisePa * b.meanV * b.meanV;
  const slope = xy / (xx + (noise / (SLOPE_STD * b.meanV)) ** 2);
  let squares = 0;
  for (const side of [a, b])
    for (let i = 0; i < side.t.length; i++)
      squares += (side.v[i]! - side.meanV - slope * (side.t[i]! - side.meanT)) ** 2;
  const points = a.t.length + b.t.length;
  const scatter = Math.sqrt(squares / Math.max(points - 3, 1)) / noise;
  return { change: b.meanV - a.meanV - slope * (b.meanT - a.meanT), points, scatter };
}

function pick(
  timeS: number[],
  values: number[],
  fromS: number,
  toS: number,
): { t: number[]; v: number[]; meanT: number; meanV: number } {
  const at = timeS.map((_, i) => i).filter((i) => timeS[i]! >= fromS && timeS[i]! <= toS);
  const t = at.map((i) => timeS[i]!);
  const v = at.map((i) => values[i]!);
  const mean = (list: number[]): number => list.reduce((sum, x) => sum + x, 0) / list.length;
  return { t, v, meanT: mean(t), meanV: mean(v) };
}

/** What the gas correction still amounts to in the readings used, over the change. */
function thermalShare(
  record: BucketRecord,
  timeS: number[],
  inverse: number[],
  edges: Edges,
  change: number,
): number {
  let sum = 0;
  let count = 0;
  for (let i = 0; i < timeS.length; i++) {
    if (timeS[i]! < edges.toS + 30 || timeS[i]! > edges.toS + 420) continue;
    sum += Math.abs(inverse[i]! - 1 / record.readings[2 * i + 1]!);
    count += 1;
  }
  return count > 0 ? sum / count / change : 0;
}
