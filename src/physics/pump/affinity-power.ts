/**
 * The shaft power of the same pump at another speed, at the matching point of its curve.
 * @param shaftPowerW at the first speed [W], 0 or more
 * @param speedRatio new speed over first speed [-], above 0; good within about a factor of two
 * @returns [W]; NaN outside the range
 * Reference: [doe-hdbk-1012], volume 3, pump laws.
 */
export function affinityPowerW(shaftPowerW: number, speedRatio: number): number {
  if (!(shaftPowerW >= 0 && speedRatio > 0)) return Number.NaN;
  return shaftPowerW * speedRatio ** 3;
}
