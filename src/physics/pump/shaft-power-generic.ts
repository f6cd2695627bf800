/**
 * Shaft power of a typical small submersible multistage pump. It peaks near 1.25 times the
 * rated flow and falls to 55 % at shut-off, which is why amps fall as pressure rises.
 * @param pump.flowM3PerS [m3/s], 0 to 1.78 times rated
 * @param pump.ratedFlowM3PerS flow of best efficiency [m3/s], above 0
 * @param pump.shaftPowerAtRatedW [W], above 0
 * @returns [W]; NaN outside the range
 * Reference: own fit to the shape of small 4-inch multistage pumps, from memory; no maker.
 */
export function shaftPowerGenericW(pump: {
  flowM3PerS: number;
  ratedFlowM3PerS: number;
  shaftPowerAtRatedW: number;
}): number {
  const { flowM3PerS, ratedFlowM3PerS, shaftPowerAtRatedW } = pump;
  if (!(ratedFlowM3PerS > 0 && shaftPowerAtRatedW > 0)) return Number.NaN;
  const x = flowM3PerS / ratedFlowM3PerS;
  if (!(x >= 0 && x <= 1.78)) return Number.NaN;
  return shaftPowerAtRatedW * (0.55 + 0.75 * x - 0.3 * x * x);
}
