import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import {
  baseColumns,
  type Columns,
  FIXED,
  type OnIntegrals,
  pumpIntegrals,
} from './balance-columns.ts';
import { changeWorth, chooseMoments, type Solved, solveAtCutIn } from './balance-solve.ts';
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
  /** Sum of squares over their variances, and what the changes of use cost: less is likelier. */
  cost: number;
  /** Root mean square of residual over its standard error. */
  misfit: number;
  /** Mean step left over at the stop and start, reference units: tee friction shows here. */
  startStep: number;
  stopStep: number;
}

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
    cost: solved.rss + moments.length * changeWorth(columns.n),
    startStep,
    stopStep,
  };
}

/** A clamp that looks at an instant sees a start late by this or so. */
const LEAST_STD_S = 0.45;

/** Contacts and column take a moment, and a balance is not all that sampling leaves open. */
function timeStd(fromBalanceS: number, bracketS: number): number {
  return Math.max(
    Math.min(Math.hypot(fromBalanceS, 0.25 * bracketS), bracketS / Math.sqrt(12)),
    LEAST_STD_S,
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
