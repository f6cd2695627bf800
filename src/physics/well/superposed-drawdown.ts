import { theisDrawdownM } from './theis-drawdown.ts';

/**
 * Drawdown under a pumping rate that changes in steps: each change acts as a well of its own.
 * @param steps the rate from `fromS` on [s, m3/s], times rising, rates 0 or more; none before
 *   the first
 * @param at.transmissivityM2PerS [m2/s], above 0
 * @param at.storativity [-], above 0
 * @param at.radiusM distance from the well [m], above 0
 * @param at.timeS on the clock of the steps [s]
 * @returns [m]; 0 before the first step; NaN outside the range
 * Reference: [kruseman-de-ridder], chapter 12.
 */
export function superposedDrawdownM(
  steps: readonly { fromS: number; flowM3PerS: number }[],
  at: { transmissivityM2PerS: number; storativity: number; radiusM: number; timeS: number },
): number {
  if (!(at.transmissivityM2PerS > 0 && at.storativity > 0 && at.radiusM > 0)) return Number.NaN;
  let sum = 0;
  let rate = 0;
  let beforeS = Number.NEGATIVE_INFINITY;
  for (const { fromS, flowM3PerS } of steps) {
    if (!(fromS > beforeS && flowM3PerS >= 0)) return Number.NaN;
    const change = flowM3PerS - rate;
    if (at.timeS > fromS && change !== 0) {
      const timeS = at.timeS - fromS;
      sum += Math.sign(change) * theisDrawdownM({ ...at, timeS, flowM3PerS: Math.abs(change) });
    }
    rate = flowM3PerS;
    beforeS = fromS;
  }
  return sum;
}
