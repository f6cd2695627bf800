/**
 * The head of the same pump at another speed, at the matching point of its curve.
 * @param headM at the first speed [m], 0 or more
 * @param speedRatio new speed over first speed [-], above 0; good within about a factor of two
 * @returns [m]; NaN outside the range
 * Reference: [doe-hdbk-1012], volume 3, pump laws.
 */
export function affinityHeadM(headM: number, speedRatio: number): number {
  if (!(headM >= 0 && speedRatio > 0)) return Number.NaN;
  return headM * speedRatio ** 2;
}
