import type { BucketTest } from '../../model/well.ts';
import { breakTankGas, createTankGas, gasExpansion, stepTankGas, type TankGas } from './tank-gas.ts';

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
  return tests.map((test, index) => ({ ...test, index, readings: [], runNear: false }));
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
  }
}

/** Whether everything that the test needs has come. */
export function bucketIsOver(record: BucketRecord, timeS: number): boolean {
  return timeS > record.stopS + AFTER_S;
}

/** Works out one test with the gas as it is known now; noise is that of pressure [Pa]. */
export function evaluateBucket(
  record: BucketRecord,
  known: Pick<TankGas, 'kappa' | 'tauS'>,
  noisePa: number,
): BucketResult | BucketProblem {
  const { index } = record;
  if (record.runNear) return { index, problem: 'run-near' };
  const n = record.readings.length / 2;
  if (n === 0) return { index, problem: 'not-in-log' };
  const { timeS, inverse } = inverseVolumes(record, known);
  const edges = findDraw(record, timeS, inverse, noisePa);
  if (edges === null) return { index, problem: 'no-draw' };
  const step = stepBetween(timeS, inverse, edges);
  if (step === null) return { index, problem: 'few-readings' };
  const mean = inverse.reduce((sum, v) => sum + v, 0) / n;
  const noise = (noisePa * mean * mean) / Math.sqrt(step.points / 2);
  const warmth = thermalShare(record, timeS, inverse, edges, step.change);
  const rel = Math.hypot(
    record.volumeM3Std / record.volumeM3,
    (noise * 2) / step.change,
    0.12 * warmth,
    0.008,
  );
  const tankConstantPaM3 = record.volumeM3 / step.change;
  return { index, tankConstantPaM3, std: tankConstantPaM3 * rel, problem: null };
}

/** e^theta / P over time: gas volume over tank constant [1/Pa]. */
function inverseVolumes(
  record: BucketRecord,
  known: Pick<TankGas, 'kappa' | 'tauS'>,
): { timeS: number[]; inverse: number[] } {
  const gas = createTankGas();
  breakTankGas(gas);
  gas.kappa = known.kappa;
  gas.tauS = known.tauS;
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
  const before = meanBetween(timeS, inverse, -Infinity, record.startS - CLOCK_S - 5);
  const after = meanBetween(timeS, inverse, record.stopS + CLOCK_S + 5, Infinity);
  const rise = after - before;
  const noise = noisePa * before * before;
  if (!(rise > 8 * noise)) return null;
  const margin = Math.max(0.03 * rise, 3 * noise);
  const middle = timeS.findIndex((t, i) => t > record.startS - CLOCK_S && inverse[i]! > before + rise / 2);
  if (middle < 0) return null;
  let first = middle;
  while (first > 0 && inverse[first]! > before + margin) first -= 1;
  let last = middle;
  while (last < timeS.length - 1 && inverse[last]! < after - margin) last += 1;
  return { fromS: timeS[first]!, toS: timeS[last]! };
}

function meanBetween(timeS: number[], values: number[], fromS: number, toS: number): number {
  const inside = values.filter((_, i) => timeS[i]! >= fromS && timeS[i]! <= toS);
  return inside.reduce((sum, v) => sum + v, 0) / inside.length;
}

/** The step between two lines of one slope, before and after the draw, by least squares. */
function stepBetween(
  timeS: number[],
  values: number[],
  edges: Edges,
): { change: number; points: number } | null {
  const sides = [
    pick(timeS, values, edges.fromS - 420, edges.fromS - 3),
    pick(timeS, values, edges.toS + 30, edges.toS + 420),
  ] as const;
  if (sides.some((side) => side.t.length < 4)) return null;
  let xx = 0;
  let xy = 0;
  for (const side of sides)
    for (let i = 0; i < side.t.length; i++) {
      xx += (side.t[i]! - side.meanT) ** 2;
      xy += (side.t[i]! - side.meanT) * (side.v[i]! - side.meanV);
    }
  const slope = xx > 0 ? xy / xx : 0;
  const [a, b] = sides;
  const lost = slope * (b.meanT - a.meanT);
  return { change: b.meanV - a.meanV - lost, points: a.t.length + b.t.length };
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
