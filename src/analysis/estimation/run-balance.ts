import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import type { RunWindow } from './run-window.ts';

/**
 * The water balance of one run, by least squares over the run and the rests beside it. The gas
 * volume at each point is
 *
 *   first volume + what people drew - what the pump delivered + errors of start and stop,
 *
 * people drawing through openings that change at few moments (flow = opening x sqrt p), the pump
 * delivering b0 (1 + bend x^2) + b1 x at tee pressure x, and start and stop being free within the
 * time that sampling leaves open. All of it is linear. Moments at which an opening changes are
 * added one by one while each explains more than chance would.
 *
 * Volumes are in reference units (see tank-gas), rates in reference units per minute.
 */
export interface Delivery {
  b0: number;
  b1: number;
  /** Covariance of b0, b1. */
  v00: number;
  v01: number;
  v11: number;
}

export interface BalanceInput {
  window: RunWindow;
  startFromS: number;
  startToS: number;
  stopFromS: number;
  stopToS: number;
  /** Off intervals inside the run, flat pairs of from, to [s]. */
  pauses: number[];
  prior: Delivery;
  /** Curvature of delivery over x, and the extra x that drawdown adds at a time into the run. */
  bend: number;
  extraX: (sinceStartS: number) => number;
  /** Standard error of tee friction while the pump runs, in reference units. */
  frictionStd: number;
  /** Gas volume at which the switch starts the pump, with its standard error; null: unknown. */
  cutIn: { volume: number; std: number } | null;
  /** Steady loss at rest, reference units a minute at sqrt(p/ref) = 1. */
  lossRate: number;
  /** What share of it is thought to pause while the pump runs, and how sure: it runs back down. */
  pausing: { share: number; std: number };
}

export interface Opening {
  fromS: number;
  toS: number;
  /** Reference units a minute at sqrt(p/ref) = 1, and the volume drawn. */
  rate: number;
  volume: number;
}

export interface RunBalance {
  startS: number;
  startStdS: number;
  stopS: number;
  stopStdS: number;
  pumped: number;
  pumpedStd: number;
  /** Minutes of pumping, and the integrals that go with b0 and b1. */
  onMin: number;
  integral0: number;
  integral1: number;
  /** What this run alone says of delivery: information matrix and vector of (b0, b1). */
  i00: number;
  i01: number;
  i11: number;
  h0: number;
  h1: number;
  openings: Opening[];
  pausing: { share: number; std: number };
  /** Root mean square of residual over its standard error. */
  misfit: number;
  /** Mean step left over at the stop and start, reference units: tee friction shows here. */
  startStep: number;
  stopStep: number;
}

interface Columns {
  n: number;
  y: Float64Array;
  weight: Float64Array;
  /** One array a parameter. */
  design: Float64Array[];
  /** Prior information a parameter (1/variance) about its prior mean. */
  priorInfo: number[];
  priorMean: number[];
}

/** Contacts, column and transducer take about this long, s. */
const SWITCHING_S = 0.25;
const CANDIDATES = 40;
const CHANGES_MAX = 8;

export function drawUpBalance(input: BalanceInput): RunBalance | null {
  const { window } = input;
  if (window.n < 5) return null;
  const on = pumpIntegrals(input);
  const columns = baseColumns(input, on);
  const moments = chooseMoments(columns, input);
  const solved = solveAtCutIn(columns, input);
  if (solved === null) return null;
  return describe(input, on, columns, moments, solved);
}

interface OnIntegrals {
  startS: number;
  stopS: number;
  /** Per point: integrals of 1 + bend x^2 and of x over the time pumped so far, minutes. */
  p0: Float64Array;
  p1: Float64Array;
  total0: number;
  total1: number;
  onMin: number;
}

const middle = (a: number, b: number): number => 0.5 * (a + b);

function pumpIntegrals(input: BalanceInput): OnIntegrals {
  const { window, bend } = input;
  const startS = middle(input.startFromS, input.startToS) - window.originS;
  const stopS = middle(input.stopFromS, input.stopToS) - window.originS;
  const at = (timeS: number): [number, number, number] => {
    const t = Math.min(Math.max(timeS, startS), stopS);
    return [t, interpolate(window, window.xS, t), interpolate(window, window.xxS, t)];
  };
  const drops: number[] = [];
  for (let k = 0; k + 1 < input.pauses.length; k += 2)
    drops.push(input.pauses[k]! - window.originS, input.pauses[k + 1]! - window.originS);
  const first = at(startS);
  const since = (timeS: number): { one: number; p0: number; p1: number } => {
    const end = at(timeS);
    let one = end[0] - first[0];
    let x = end[1] - first[1] + extraIntegral(input.extraX, end[0] - first[0]);
    let xx = end[2] - first[2];
    for (let k = 0; k < drops.length; k += 2) {
      if (timeS <= drops[k]!) break;
      const from = at(drops[k]!);
      const to = at(Math.min(drops[k + 1]!, timeS));
      one -= to[0] - from[0];
      x -= to[1] - from[1];
      xx -= to[2] - from[2];
    }
    return { one: one / 60, p0: (one + bend * xx) / 60, p1: x / 60 };
  };
  const p0 = new Float64Array(window.n);
  const p1 = new Float64Array(window.n);
  for (let i = 0; i < window.n; i++) {
    const so = since(window.timeS[i]!);
    p0[i] = so.p0;
    p1[i] = so.p1;
  }
  const all = since(stopS);
  return { startS, stopS, p0, p1, total0: all.p0, total1: all.p1, onMin: all.one };
}

/** Integral of the extra x over the run so far, by Simpson's rule: it is smooth. */
function extraIntegral(extraX: (s: number) => number, untilS: number): number {
  if (untilS <= 0) return 0;
  return (untilS / 6) * (extraX(0) + 4 * extraX(untilS / 2) + extraX(untilS));
}

function interpolate(window: RunWindow, values: Float64Array, timeS: number): number {
  const { timeS: t, n } = window;
  if (timeS <= t[0]!) return values[0]!;
  if (timeS >= t[n - 1]!) return values[n - 1]!;
  let low = 0;
  let high = n - 1;
  while (high - low > 1) {
    const mid = (low + high) >> 1;
    if (t[mid]! <= timeS) low = mid;
    else high = mid;
  }
  const share = (timeS - t[low]!) / (t[high]! - t[low]!);
  return values[low]! + share * (values[high]! - values[low]!);
}

/**
 * Parameters: 0 first volume, 1 b0, 2 b1, 3 start step, 4 stop step, 5 opening at first, 6 share of
 * the steady loss that pauses, 7 change of steady loss after the stop, 8 friction at the tee while
 * the pump runs; then one change of opening each.
 */
const FIXED = 9;

function baseColumns(input: BalanceInput, on: OnIntegrals): Columns {
  const { window, prior } = input;
  const n = window.n + (input.cutIn === null ? 0 : 1);
  const design = Array.from({ length: FIXED }, () => new Float64Array(n));
  const weight = new Float64Array(n);
  const y = new Float64Array(n);
  if (input.cutIn !== null) {
    // One more point: at the start, wherever it falls, the volume is that of the cut-in.
    y[n - 1] = input.cutIn.volume;
    weight[n - 1] = 1 / input.cutIn.std ** 2;
    design[0]![n - 1] = 1;
    design[5]![n - 1] = interpolate(window, window.rootS, on.startS) / 60;
  }
  for (let i = 0; i < window.n; i++) {
    y[i] = window.volume[i]!;
    weight[i] = 1 / window.std[i]! ** 2;
    design[0]![i] = 1;
    design[1]![i] = -on.p0[i]!;
    design[2]![i] = -on.p1[i]!;
    design[3]![i] = window.timeS[i]! > on.startS ? 1 : 0;
    design[4]![i] = window.timeS[i]! > on.stopS ? 1 : 0;
    design[5]![i] = window.rootS[i]! / 60;
    design[6]![i] = (-input.lossRate * within(window, i, on)) / 60;
    design[7]![i] = after(window, i, on) / 60;
    design[8]![i] = design[3]![i]! - design[4]![i]!;
  }
  const info = (fromS: number, toS: number): number => {
    const stdS = Math.hypot((toS - fromS) / Math.sqrt(12), SWITCHING_S);
    return 1 / ((stdS / 60) * prior.b0) ** 2;
  };
  return {
    n,
    y,
    weight,
    design,
    priorInfo: [
      0,
      0,
      0,
      info(input.startFromS, input.startToS),
      info(input.stopFromS, input.stopToS),
      1 / (0.5 * prior.b0) ** 2,
      1 / input.pausing.std ** 2,
      1 / (0.5 * input.lossRate + 1e-7) ** 2,
      1 / input.frictionStd ** 2,
    ],
    priorMean: [0, 0, 0, 0, 0, 0, input.pausing.share, 0, 0],
  };
}

/** Integral of sqrt(p/ref) over the run so far, s. */
function within(window: RunWindow, i: number, on: OnIntegrals): number {
  const until = Math.min(window.timeS[i]!, on.stopS);
  if (until <= on.startS) return 0;
  const at = (t: number): number => interpolate(window, window.rootS, t);
  return at(until) - at(on.startS);
}

/** Integral of sqrt(p/ref) since the stop, s. */
function after(window: RunWindow, i: number, on: OnIntegrals): number {
  if (window.timeS[i]! <= on.stopS) return 0;
  return window.rootS[i]! - interpolate(window, window.rootS, on.stopS);
}

interface Solved {
  x: number[];
  /** Covariance with the prior of delivery in, and the normal matrix and vector without it. */
  covariance: Matrix;
  normal: Matrix;
  right: number[];
  rss: number;
}

function normalEquations(columns: Columns): { normal: Matrix; right: number[] } {
  const p = columns.design.length;
  const normal = Matrix.zeros(p, p);
  const right = new Array<number>(p).fill(0);
  for (let a = 0; a < p; a++) {
    const columnA = columns.design[a]!;
    for (let b = 0; b <= a; b++) {
      const columnB = columns.design[b]!;
      let sum = 0;
      for (let i = 0; i < columns.n; i++) sum += columns.weight[i]! * columnA[i]! * columnB[i]!;
      normal.set(a, b, sum);
      normal.set(b, a, sum);
    }
    let sum = 0;
    for (let i = 0; i < columns.n; i++) sum += columns.weight[i]! * columnA[i]! * columns.y[i]!;
    right[a] = sum + columns.priorInfo[a]! * columns.priorMean[a]!;
    normal.set(a, a, normal.get(a, a) + columns.priorInfo[a]!);
  }
  return { normal, right };
}

function solve(columns: Columns, prior: Delivery): Solved | null {
  const { normal, right } = normalEquations(columns);
  const full = normal.clone();
  const det = prior.v00 * prior.v11 - prior.v01 ** 2;
  const q00 = prior.v11 / det;
  const q01 = -prior.v01 / det;
  const q11 = prior.v00 / det;
  full.set(1, 1, full.get(1, 1) + q00);
  full.set(1, 2, full.get(1, 2) + q01);
  full.set(2, 1, full.get(2, 1) + q01);
  full.set(2, 2, full.get(2, 2) + q11);
  const rightFull = right.slice();
  rightFull[1]! += q00 * prior.b0 + q01 * prior.b1;
  rightFull[2]! += q01 * prior.b0 + q11 * prior.b1;
  const cholesky = new CholeskyDecomposition(full);
  if (!cholesky.isPositiveDefinite()) return null;
  const covariance = cholesky.solve(Matrix.eye(full.rows));
  const x = cholesky.solve(Matrix.columnVector(rightFull)).to1DArray();
  const rss = residuals(columns, x).reduce((sum, r, i) => sum + r * r * columns.weight[i]!, 0);
  return { x, covariance, normal, right, rss };
}

function residuals(columns: Columns, x: number[]): number[] {
  const out = new Array<number>(columns.n);
  for (let i = 0; i < columns.n; i++) {
    let fitted = 0;
    for (let a = 0; a < x.length; a++) fitted += columns.design[a]![i]! * x[a]!;
    out[i] = columns.y[i]! - fitted;
  }
  return out;
}

/** Adds moments of change to the design, best first, and returns them as indices of points. */
function chooseMoments(columns: Columns, input: BalanceInput): number[] {
  const moments: number[] = [];
  const { window } = input;
  const stride = Math.max(1, Math.floor(columns.n / CANDIDATES));
  const worth = 3 * Math.log(columns.n) + 4;
  while (moments.length < CHANGES_MAX) {
    const solved = solve(columns, input.prior);
    if (solved === null) break;
    const left = residuals(columns, solved.x);
    const scale = Math.max(1, solved.rss / Math.max(columns.n - columns.design.length, 1) / 4);
    let best = { gain: worth * scale, at: -1 };
    for (let at = 1; at < window.n - 1; at += stride) {
      if (moments.includes(at)) continue;
      const gain = gainOf(columns, solved.covariance, left, opening(input, at));
      if (gain > best.gain) best = { gain, at };
    }
    if (best.at < 0) break;
    moments.push(best.at);
    columns.design.push(opening(input, best.at));
    columns.priorInfo.push(1 / (0.3 * input.prior.b0) ** 2);
    columns.priorMean.push(0);
  }
  return moments;
}

function opening(input: BalanceInput, at: number): Float64Array {
  const { window } = input;
  const column = new Float64Array(window.n + (input.cutIn === null ? 0 : 1));
  const from = window.rootS[at]!;
  for (let i = at + 1; i < window.n; i++) column[i] = (window.rootS[i]! - from) / 60;
  if (input.cutIn !== null) {
    const startS = middle(input.startFromS, input.startToS) - window.originS;
    column[window.n] = Math.max(interpolate(window, window.rootS, startS) - from, 0) / 60;
  }
  return column;
}

/**
 * The start that is found moves the point at the cut-in along the line before the run, which is
 * the one thing here that is not linear: two more rounds settle it.
 */
function solveAtCutIn(columns: Columns, input: BalanceInput): Solved | null {
  let solved = solve(columns, input.prior);
  if (input.cutIn === null) return solved;
  for (let round = 0; round < 2 && solved !== null; round++) {
    const halfS = 0.5 * (input.startToS - input.startFromS);
    const lateS = (solved.x[3]! / Math.max(solved.x[1]!, 1e-9)) * 60;
    const shiftS = Math.max(-halfS, Math.min(halfS, lateS));
    columns.y[columns.n - 1] = input.cutIn.volume - (rateAtStart(columns, solved.x) * shiftS) / 60;
    solved = solve(columns, input.prior);
  }
  return solved;
}

/** What people draw as the pump starts: the openings in force at the point of the cut-in. */
function rateAtStart(columns: Columns, x: number[]): number {
  let rate = x[5]!;
  for (let a = FIXED; a < x.length; a++) if (columns.design[a]![columns.n - 1]! > 0) rate += x[a]!;
  return rate;
}

/** How much one more column would lower the sum of squares. */
function gainOf(columns: Columns, covariance: Matrix, left: number[], extra: Float64Array): number {
  const p = columns.design.length;
  const cross = new Array<number>(p).fill(0);
  let own = 0;
  let pull = 0;
  for (let i = 0; i < columns.n; i++) {
    const w = columns.weight[i]! * extra[i]!;
    if (w === 0) continue;
    own += w * extra[i]!;
    pull += w * left[i]!;
    for (let a = 0; a < p; a++) cross[a]! += w * columns.design[a]![i]!;
  }
  let explained = 0;
  for (let a = 0; a < p; a++)
    for (let b = 0; b < p; b++) explained += cross[a]! * covariance.get(a, b) * cross[b]!;
  const free = own - explained;
  return free > 1e-9 * own ? (pull * pull) / free : 0;
}

function describe(
  input: BalanceInput,
  on: OnIntegrals,
  columns: Columns,
  moments: number[],
  solved: Solved,
): RunBalance {
  const { x, covariance } = solved;
  const degrees = Math.max(columns.n - x.length, 1);
  const misfit = Math.sqrt(solved.rss / degrees);
  const inflate = Math.max(1, misfit);
  const b0 = x[1]!;
  const rate = Math.max(b0, 1e-9);
  const direction = x.map((_, a) => [0, on.total0, on.total1, -1, -1][a] ?? 0);
  const pumpedStd = inflate * Math.sqrt(Math.max(quadratic(covariance, direction), 0));
  const clampTo = (offS: number, fromS: number, toS: number): number =>
    Math.max(-0.5 * (toS - fromS), Math.min(0.5 * (toS - fromS), offS));
  const startOffS = clampTo((x[3]! / rate) * 60, input.startFromS, input.startToS);
  const stopOffS = clampTo((-x[4]! / rate) * 60, input.stopFromS, input.stopToS);
  // Only as much as start and stop may truly be off by counts as pumping.
  const startStep = (startOffS * rate) / 60;
  const stopStep = (-stopOffS * rate) / 60;
  const pumped = on.total0 * b0 + on.total1 * x[2]! - startStep - stopStep;
  const stdS = (a: number, fromS: number, toS: number): number =>
    Math.min(
      ((inflate * Math.sqrt(covariance.get(a, a))) / rate) * 60,
      (toS - fromS) / Math.sqrt(12),
    );
  return {
    startS: input.window.originS + on.startS + startOffS,
    startStdS: timeStd(
      stdS(3, input.startFromS, input.startToS),
      input.startToS - input.startFromS,
    ),
    stopS: input.window.originS + on.stopS + stopOffS,
    stopStdS: timeStd(stdS(4, input.stopFromS, input.stopToS), input.stopToS - input.stopFromS),
    pumped,
    pumpedStd,
    onMin: on.onMin,
    integral0: on.total0,
    integral1: on.total1,
    ...informationOnDelivery(solved, inflate),
    openings: openingsOf(input, moments, x),
    pausing: { share: x[6]!, std: Math.min(inflate * Math.sqrt(covariance.get(6, 6)), 1) },
    misfit,
    startStep,
    stopStep,
  };
}

/** Contacts and column take a moment, and a balance is not all that sampling leaves open. */
function timeStd(fromBalanceS: number, bracketS: number): number {
  return Math.max(
    Math.min(Math.hypot(fromBalanceS, 0.25 * bracketS), bracketS / Math.sqrt(12)),
    0.3,
  );
}

function quadratic(matrix: Matrix, v: number[]): number {
  let sum = 0;
  for (let a = 0; a < v.length; a++)
    for (let b = 0; b < v.length; b++) sum += v[a]! * matrix.get(a, b) * v[b]!;
  return sum;
}

/** The run's own word on (b0, b1), everything else eliminated (Schur complement). */
function informationOnDelivery(
  solved: Solved,
  inflate: number,
): Pick<RunBalance, 'i00' | 'i01' | 'i11' | 'h0' | 'h1'> {
  const p = solved.x.length;
  const others = Array.from({ length: p }, (_, a) => a).filter((a) => a !== 1 && a !== 2);
  const oo = solved.normal.selection(others, others);
  const ob = solved.normal.selection(others, [1, 2]);
  const eliminate = new CholeskyDecomposition(oo);
  if (!eliminate.isPositiveDefinite()) return { i00: 0, i01: 0, i11: 0, h0: 0, h1: 0 };
  const cross = eliminate.solve(ob);
  const rightOthers = Matrix.columnVector(others.map((a) => solved.right[a]!));
  const info = Matrix.sub(solved.normal.selection([1, 2], [1, 2]), ob.transpose().mmul(cross));
  const pull = cross.transpose().mmul(rightOthers);
  const scale = 1 / inflate ** 2;
  return {
    i00: info.get(0, 0) * scale,
    i01: info.get(0, 1) * scale,
    i11: info.get(1, 1) * scale,
    h0: (solved.right[1]! - pull.get(0, 0)) * scale,
    h1: (solved.right[2]! - pull.get(1, 0)) * scale,
  };
}

function openingsOf(input: BalanceInput, moments: number[], x: number[]): Opening[] {
  const { window } = input;
  const order = moments.map((at, k) => ({ at, change: x[FIXED + k]! })).sort((a, b) => a.at - b.at);
  const cuts = [0, ...order.map(({ at }) => at), window.n - 1];
  let rate = x[5]!;
  return cuts.slice(0, -1).map((from, k) => {
    if (k > 0) rate += order[k - 1]!.change;
    const to = cuts[k + 1]!;
    return {
      fromS: window.originS + window.timeS[from]!,
      toS: window.originS + window.timeS[to]!,
      rate,
      volume: (rate * (window.rootS[to]! - window.rootS[from]!)) / 60,
    };
  });
}
