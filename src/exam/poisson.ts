/** Probability of at most `count` happenings where `mean`, no less, are to be expected. */
function cumulative(count: number, mean: number, logFactorial: number): number {
  // From the greatest term down: that of no happening is too small for a number of the machine.
  let term = Math.exp(count * Math.log(mean) - mean - logFactorial);
  let sum = term;
  for (let k = count; k > 0; k--) {
    term *= k / mean;
    sum += term;
  }
  return sum;
}

const MOST = 100_000;

/**
 * Exact one-sided upper bound of the mean of a Poisson count: the mean at which so few are seen
 * with probability 1 - confidence, half the quantile of chi-squared with 2 count + 2 degrees of
 * freedom.
 * @param count happenings seen [-], a whole number, 0 to 100,000
 * @param confidence share of cases in which the bound holds [-], 0.5 to 0.999
 * @returns mean [-]; NaN outside the range
 * Reference: F. Garwood, Fiducial limits for the Poisson distribution, Biometrika 28 (1936) 437.
 */
export function poissonUpperBound(count: number, confidence: number): number {
  if (!Number.isInteger(count) || count < 0 || count > MOST) return Number.NaN;
  if (!(confidence >= 0.5 && confidence <= 0.999)) return Number.NaN;
  let logFactorial = 0;
  for (let k = 2; k <= count; k++) logFactorial += Math.log(k);
  let low = count;
  let high = count + 20 + 10 * Math.sqrt(count + 1);
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (cumulative(count, middle, logFactorial) > 1 - confidence) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
