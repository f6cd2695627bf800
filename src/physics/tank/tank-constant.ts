/**
 * The tank constant: absolute gas pressure times gas volume, which stays the same at one
 * temperature while water comes and goes.
 * @param volumeM3 whole tank [m3], above 0
 * @param prechargePaAbs gas pressure of the tank empty of water [Pa, absolute], above 0
 * @returns [Pa m3]; NaN outside the range
 * Reference: [boyle-law]; water in the tank is the tank less tankConstant / pressure.
 */
export function tankConstantPaM3(volumeM3: number, prechargePaAbs: number): number {
  if (!(volumeM3 > 0 && prechargePaAbs > 0)) return Number.NaN;
  return volumeM3 * prechargePaAbs;
}
