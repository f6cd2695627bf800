import type { FittedLine } from '../../base/line.ts';

export interface YorkPoints {
  x: readonly number[];
  y: readonly number[];
  /** Standard uncertainty of each x and y; one of the two may be 0. */
  xStd: readonly number[];
  yStd: readonly number[];
}

export interface YorkFit {
  line: FittedLine;
  /** Weighted sum of squared residuals. */
  chiSquare: number;
}

const MOST_ROUNDS = 200;

/**
 * Straight line through points uncertain in both directions, independent of each other.
 * `points`: x, y and the standard uncertainty of each; `aboutX` where the intercept is taken.
 * Returns the line with the covariance that follows from the given uncertainties, not widened by
 * the scatter, in the units of x and y; NaN with fewer than two different x. Where all x are
 * sure this is the weighted line. Source: York, Evensen, Martinez, De Basabe Delgado, Am. J.
 * Phys. 72 (2004) 367, equations 13a to 13d, without correlation; York, Can. J. Phys. 44 (1966)
 * 1079 (from memory).
 */
export function fitYork(points: YorkPoints, aboutX = 0): YorkFit {
  const { x, y, xStd, yStd } = points;
  let slope = startSlope(points);
  let state = around(points, slope);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const { weights, beta, meanX, meanY } = state;
    const top = sumOf(weights.map((w, i) => w * beta[i]! * (y[i]! - meanY)));
    const bottom = sumOf(weights.map((w, i) => w * beta[i]! * (x[i]! - meanX)));
    const next = top / bottom;
    const isSettled = Math.abs(next - slope) <= 1e-15 * Math.abs(next);
    slope = next;
    state = around(points, slope);
    if (isSettled || Number.isNaN(next)) break;
  }
  const { weights, beta, meanX, meanY } = state;
  const weightSum = sumOf(weights);
  const adjustedMean = meanX + sumOf(weights.map((w, i) => w * beta[i]!)) / weightSum;
  const spread = sumOf(weights.map((w, i) => w * (meanX + beta[i]! - adjustedMean) ** 2));
  const atMean = meanY + slope * (adjustedMean - meanX);
  const lever = aboutX - adjustedMean;
  const residuals = y.map((yi, i) => yi - meanY - slope * (x[i]! - meanX));
  const chiSquare = sumOf(weights.map((w, i) => w * residuals[i]! ** 2));
  const degreesOfFreedom = x.length - 2;
  const hasSpread = new Set(x).size > 1 && xStd.length === yStd.length;
  const slopeVar = hasSpread ? 1 / spread : Number.NaN;
  return {
    line: {
      intercept: atMean + slope * lever,
      slope: hasSpread ? slope : Number.NaN,
      aboutX,
      interceptVar: 1 / weightSum + lever * lever * slopeVar,
      slopeVar,
      cov: lever * slopeVar,
      residualStd: degreesOfFreedom > 0 ? Math.sqrt(chiSquare / degreesOfFreedom) : Number.NaN,
      degreesOfFreedom,
    },
    chiSquare,
  };
}

/** Weights, means and adjusted x (from the mean) for a slope: York 2004, equations 13c and 14. */
function around({ x, y, xStd, yStd }: YorkPoints, slope: number) {
  const weights = x.map((_, i) => 1 / (yStd[i]! ** 2 + (slope * xStd[i]!) ** 2));
  const weightSum = sumOf(weights);
  const meanX = sumOf(x.map((xi, i) => weights[i]! * xi)) / weightSum;
  const meanY = sumOf(y.map((yi, i) => weights[i]! * yi)) / weightSum;
  const beta = x.map(
    (xi, i) =>
      weights[i]! * ((xi - meanX) * yStd[i]! ** 2 + slope * (y[i]! - meanY) * xStd[i]! ** 2),
  );
  return { weights, beta, meanX, meanY };
}

/** Least squares without weights gives a slope to begin with. */
function startSlope({ x, y }: YorkPoints): number {
  const meanX = sumOf(x) / x.length;
  const meanY = sumOf(y) / y.length;
  const top = sumOf(x.map((xi, i) => (xi - meanX) * (y[i]! - meanY)));
  return top / sumOf(x.map((xi) => (xi - meanX) ** 2));
}

function sumOf(numbers: readonly number[]): number {
  let sum = 0;
  for (const one of numbers) sum += one;
  return sum;
}
