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
 * Exact upper bound of the mean of a Poisson count, one-sided.
 *
 * @param count happenings seen, a whole number from 0 on
 * @param confidence share of cases in which the bound holds, 0 to 1
 * @returns the mean at which so few are seen with probability 1 - confidence, which is half the
 *   quantile of chi-squared with 2 count + 2 degrees of freedom; NaN outside the range
 * @valid count 0 to 500, confidence 0.5 to 0.999
 * @source F. Garwood, Fiducial limits for the Poisson distribution, Biometrika 28 (1936) 437-442
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
