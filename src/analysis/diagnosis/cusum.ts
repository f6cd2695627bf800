/** One side of a tabular CUSUM: its sum, the steps since it last was zero and when that was. */
export interface CusumSide {
  sum: number;
  steps: number;
  sinceS: number;
}

export interface Cusum {
  high: CusumSide;
  low: CusumSide;
}

const side = (): CusumSide => ({ sum: 0, steps: 0, sinceS: NaN });

export const createCusum = (): Cusum => ({ high: side(), low: side() });

/**
 * Takes a standardized value `z` [-] of the stretch that begins at `fromS` [s]; `k` [-] reference
 * value. Source: D. C. Montgomery, Introduction to Statistical Quality Control, equations 9.2, 9.3.
 */
export function stepCusum(state: Cusum, z: number, k: number, fromS: number): void {
  stepSide(state.high, z - k, fromS);
  stepSide(state.low, -z - k, fromS);
}

function stepSide(one: CusumSide, excess: number, fromS: number): void {
  const sum = one.sum + excess;
  if (!(sum > 0)) {
    Object.assign(one, side());
    return;
  }
  if (one.steps === 0) one.sinceS = fromS;
  one.sum = sum;
  one.steps += 1;
}

/**
 * Mean standardized value [-] since a side last was zero, by size: the estimate of the shift.
 * NaN where the sum is zero. Source: Montgomery, equation 9.5.
 */
export function shiftOf({ sum, steps }: CusumSide, k: number): number {
  return steps === 0 ? NaN : k + sum / steps;
}

/** What Siegmund adds to the decision interval for the overshoot. */
const OVERSHOOT = 1.166;

/**
 * Average run length [steps] of a two-sided CUSUM of independent normal values. `k` reference
 * value, `h` decision interval, `mean` true mean [all in standard deviations]. k > 0, h > 0, mean
 * within 2 of 0, where it holds within 5 %; NaN outside. Source: D. Siegmund, Sequential Analysis
 * (1985), as Montgomery gives it in equations 9.6 and 9.7.
 */
export function averageRunLength(k: number, h: number, mean: number): number {
  if (!(k > 0) || !(h > 0) || !(Math.abs(mean) <= 2)) return NaN;
  return 1 / (1 / oneSided(mean - k, h) + 1 / oneSided(-mean - k, h));
}

function oneSided(drift: number, h: number): number {
  const b = h + OVERSHOOT;
  // The expression itself loses its digits near drift 0, where it is b squared.
  if (Math.abs(drift) < 1e-5) return b * b;
  return (Math.exp(-2 * drift * b) + 2 * drift * b - 1) / (2 * drift * drift);
}

/**
 * Decision interval [standard deviations] that a two-sided CUSUM needs so that a process in control
 * signals once in `steps` steps on average. k from 0.1 to 2, steps from 50 to 1e7; NaN outside.
 */
export function decisionInterval(k: number, steps: number): number {
  if (!(k >= 0.1 && k <= 2) || !(steps >= 50 && steps <= 1e7)) return NaN;
  let low = 0;
  let high = 100;
  while (high - low > 1e-9) {
    const h = (low + high) / 2;
    if (averageRunLength(k, h, 0) < steps) low = h;
    else high = h;
  }
  return high;
}
