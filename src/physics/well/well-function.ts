const EULER = 0.577_215_664_901_532_9;

/**
 * The well function W(u), which is the exponential integral E1.
 * @param u r2 S/(4 T t) [-], above 0
 * @returns [-]; NaN outside the range
 * Reference: [abramowitz-stegun], 5.1.11 (series) and 5.1.22 (continued fraction);
 * table of W(u) in [wenzel-1942].
 */
export function wellFunction(u: number): number {
  if (!(u > 0)) return Number.NaN;
  return u <= 1 ? bySeries(u) : byContinuedFraction(u);
}

function bySeries(u: number): number {
  let sum = -EULER - Math.log(u);
  let power = 1;
  for (let k = 1; k <= 25; k += 1) {
    power *= -u / k;
    sum -= power / k;
  }
  return sum;
}

/** Evaluated from the far end; 120 terms hold double precision down to u = 1. */
function byContinuedFraction(u: number): number {
  let tail = 0;
  for (let k = 120; k >= 1; k -= 1) tail = k / (1 + k / (u + tail));
  return Math.exp(-u) / (u + tail);
}
