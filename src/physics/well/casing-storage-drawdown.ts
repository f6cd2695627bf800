/**
 * Drawdown in a pumped domestic well, where the water standing in the casing is drawn first:
 * one tank of the casing's area, fed in proportion to its drawdown. The solution of
 * A ds/dt = Q - SC s, s(0) = 0.
 * @param well.flowM3PerS [m3/s], 0 or more
 * @param well.specificCapacityM2PerS steady flow over steady drawdown [m2/s], above 0
 * @param well.casingAreaM2 [m2], above 0
 * @param well.timeS since pumping began from a rested well [s], 0 or more
 * @returns [m]; NaN outside the range
 * Reference: water balance of the casing; [schafer-1978] for how long the casing rules.
 */
export function casingStorageDrawdownM(well: {
  flowM3PerS: number;
  specificCapacityM2PerS: number;
  casingAreaM2: number;
  timeS: number;
}): number {
  const { flowM3PerS, specificCapacityM2PerS, casingAreaM2, timeS } = well;
  if (!(flowM3PerS >= 0 && specificCapacityM2PerS > 0 && casingAreaM2 > 0 && timeS >= 0)) {
    return Number.NaN;
  }
  const filled = -Math.expm1((-timeS * specificCapacityM2PerS) / casingAreaM2);
  return (flowM3PerS / specificCapacityM2PerS) * filled;
}
