/** Probability of at most `count` happenings where `mean` are to be expected. */
function cumulative(count: number, mean: number): number {
  let term = Math.exp(-mean);
  let sum = term;
  for (let k = 1; k <= count; k++) {
    term *= mean / k;
    sum += term;
  }
  return sum;
}

/**
 * Exact one-sided upper bound of the mean of a Poisson count: the mean at which so few are seen
 * with probability 1 - confidence, half the quantile of chi-squared with 2 count + 2 degrees of
 * freedom.
 * @param count happenings seen [-], a whole number, 0 to 500
 * @param confidence share of cases in which the bound holds [-], 0.5 to 0.999
 * @returns mean [-]; NaN outside the range
 * Reference: F. Garwood, Fiducial limits for the Poisson distribution, Biometrika 28 (1936) 437.
 */
export function poissonUpperBound(count: number, confidence: number): number {
  if (!Number.isInteger(count) || count < 0 || count > 500) return Number.NaN;
  if (!(confidence >= 0.5 && confidence <= 0.999)) return Number.NaN;
  let low = count;
  let high = count + 20 + 10 * Math.sqrt(count + 1);
  for (let i = 0; i < 80; i++) {
    const middle = (low + high) / 2;
    if (cumulative(count, middle) > 1 - confidence) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
