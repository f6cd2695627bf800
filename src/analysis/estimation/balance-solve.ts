import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import { type Columns, FIXED, opening } from './balance-columns.ts';
import type { BalanceInput, Delivery } from './run-balance.ts';

const CANDIDATES = 40;
const CHANGES_MAX = 8;

export interface Solved {
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
  // A balance that cannot be drawn up (no time between points, say) is no balance.
  if (!full.to1DArray().every(Number.isFinite) || !rightFull.every(Number.isFinite)) return null;
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

/** What a change of use must explain to be believed, and costs when balances are compared. */
export const changeWorth = (points: number): number => 3 * Math.log(points) + 4;

/** Adds moments of change to the design, best first, and returns them as indices of points. */
export function chooseMoments(columns: Columns, input: BalanceInput): number[] {
  const moments: number[] = [];
  const { window } = input;
  const stride = Math.max(1, Math.floor(columns.n / CANDIDATES));
  const worth = changeWorth(columns.n);
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

/**
 * The start that is found moves the point at the cut-in along the line before the run, which is
 * the one thing here that is not linear: two more rounds settle it.
 */
export function solveAtCutIn(columns: Columns, input: BalanceInput): Solved | null {
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
