/** A straight line through calibration points with the covariance of its coefficients. */
export interface FittedLine {
  /** Value at `aboutX`. */
  intercept: number;
  slope: number;
  aboutX: number;
  interceptVar: number;
  slopeVar: number;
  cov: number;
  /** Standard deviation of one point of unit weight from the line; NaN with two points. */
  residualStd: number;
  degreesOfFreedom: number;
}

/**
 * Weighted least-squares line y = intercept + slope (x - aboutX).
 * `x` [any], `y` [any], `yStd` [as y]: standard uncertainty of each y; null when unknown, then all
 * weigh the same and the covariance comes from the residuals. Returns the line in the same units;
 * NaN throughout when fewer than two different x are given. With known `yStd` the covariance
 * follows from it, widened by the Birge ratio where the points scatter more than they say.
 * Sums run about the weighted mean of x, which keeps the digits. Source: JCGM 100:2008 (GUM) H.3,
 * equations H.13 to H.15; with weights, NIST/SEMATECH e-Handbook section 4.1.4.3 (from memory).
 */
export function fitLine(points: {
  x: readonly number[];
  y: readonly number[];
  yStd: readonly number[] | null;
  aboutX?: number;
}): FittedLine {
  const { x, y, yStd, aboutX = 0 } = points;
  const weights = x.map((_, i) => (yStd === null ? 1 : 1 / yStd[i]! ** 2));
  const weightSum = sumOf(weights);
  const meanX = sumOf(x.map((xi, i) => weights[i]! * xi)) / weightSum;
  const meanY = sumOf(y.map((yi, i) => weights[i]! * yi)) / weightSum;
  const sxx = sumOf(x.map((xi, i) => weights[i]! * (xi - meanX) ** 2));
  const sxy = sumOf(x.map((xi, i) => weights[i]! * (xi - meanX) * (y[i]! - meanY)));
  const slope = sxx > 0 ? sxy / sxx : Number.NaN;
  const residuals = x.map((xi, i) => y[i]! - meanY - slope * (xi - meanX));
  const chiSquare = sumOf(residuals.map((r, i) => weights[i]! * r * r));
  const degreesOfFreedom = x.length - 2;
  const variance = degreesOfFreedom > 0 ? chiSquare / degreesOfFreedom : Number.NaN;
  const scale = yStd === null ? variance : Math.max(1, variance || 1);
  const lever = aboutX - meanX;
  return {
    intercept: meanY + slope * lever,
    slope,
    aboutX,
    interceptVar: scale * (1 / weightSum + (lever * lever) / sxx),
    slopeVar: scale / sxx,
    cov: (scale * lever) / sxx,
    residualStd: Math.sqrt(variance),
    degreesOfFreedom,
  };
}

/** Value of the line at `x`, in units of y. */
export function valueAt(line: FittedLine, x: number): number {
  return line.intercept + line.slope * (x - line.aboutX);
}

/** Where the line takes a value: the x of `valueAt`. */
export function xAt(line: FittedLine, value: number): number {
  return line.aboutX + (value - line.intercept) / line.slope;
}

/** Standard uncertainty of the value of the line at `x`, in units of y (GUM H.3.4). */
export function stdAt(line: FittedLine, x: number): number {
  const dx = x - line.aboutX;
  return Math.sqrt(line.interceptVar + 2 * dx * line.cov + dx * dx * line.slopeVar);
}

function sumOf(numbers: readonly number[]): number {
  let sum = 0;
  for (const one of numbers) sum += one;
  return sum;
}
