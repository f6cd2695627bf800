/**
 * Head of a typical small submersible multistage pump, where the maker's curve is not at hand.
 * Real pumps spread by about 8 % in shut-off head and 0.05 in each coefficient.
 * @param pump.flowM3PerS [m3/s], 0 up to run-out (about 1.77 times rated, where the head is 0)
 * @param pump.ratedFlowM3PerS flow of best efficiency [m3/s], above 0
 * @param pump.shutOffHeadM head at no flow [m], above 0
 * @returns [m of water]; NaN outside the range
 * Reference: own fit to the shape of small 4-inch multistage pumps, from memory; no maker.
 */
export function headFromGenericCurveM(pump: {
  flowM3PerS: number;
  ratedFlowM3PerS: number;
  shutOffHeadM: number;
}): number {
  const { flowM3PerS, ratedFlowM3PerS, shutOffHeadM } = pump;
  if (!(flowM3PerS >= 0 && ratedFlowM3PerS > 0 && shutOffHeadM > 0)) return Number.NaN;
  const x = flowM3PerS / ratedFlowM3PerS;
  const share = 1 - 0.04 * x - 0.17 * x ** 2 - 0.07 * x ** 3;
  return share >= 0 ? shutOffHeadM * share : Number.NaN;
}
