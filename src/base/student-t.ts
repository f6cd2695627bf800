/** Probability that GUM tables call k = 2: a normal value lies within two standard deviations. */
export const TWO_SIGMA = 0.954499736103642;

/** Up to here the series is summed; beyond, t is expanded in 1/n with an error below 1e-5. */
const SUMMED_TO = 1000;

/**
 * Probability that |T| stays within t for Student's T.
 * `t` [-] >= 0, `degreesOfFreedom` [-] whole, 1 to 1000. Returns [-]; NaN outside.
 * Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4.
 */
export function studentWithin(t: number, degreesOfFreedom: number): number {
  const n = degreesOfFreedom;
  if (!(t >= 0) || !Number.isInteger(n) || n < 1 || n > SUMMED_TO) return Number.NaN;
  const theta = Math.atan(t / Math.sqrt(n));
  const cos2 = Math.cos(theta) ** 2;
  const isOdd = n % 2 === 1;
  let term = isOdd ? Math.cos(theta) : 1;
  let sum = n === 1 ? 0 : term;
  for (let k = isOdd ? 3 : 2; k <= n - 2; k += 2) {
    term *= ((k - 1) / k) * cos2;
    sum += term;
  }
  const series = Math.sin(theta) * sum;
  return isOdd ? (2 / Math.PI) * (theta + series) : series;
}

/**
 * Factor t that |T| exceeds with probability 1 - `within`: the coverage factor of GUM G.3.
 * `within` [-] between 0 and 1, `degreesOfFreedom` [-] 1 or more, cut to a whole number as GUM
 * G.4.1 says; infinite for the normal distribution. Returns [-]; NaN outside. Many degrees of
 * freedom: t(n) = z + (z^3 + z)/(4 n), Abramowitz & Stegun 26.7.5 to its first term.
 */
export function studentFactor(within: number, degreesOfFreedom: number): number {
  if (!(within > 0 && within < 1) || !(degreesOfFreedom >= 1)) return Number.NaN;
  const n = Math.floor(degreesOfFreedom);
  if (n <= SUMMED_TO) return inverse(within, n);
  const last = inverse(within, SUMMED_TO);
  return last + ((last ** 3 + last) / 4) * (1 / n - 1 / SUMMED_TO);
}

function inverse(within: number, n: number): number {
  let low = 0;
  let high = 1;
  while (studentWithin(high, n) < within) high *= 2;
  for (let halvings = 0; halvings < 100 && high - low > 1e-12 * high; halvings++) {
    const middle = (low + high) / 2;
    if (studentWithin(middle, n) < within) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
