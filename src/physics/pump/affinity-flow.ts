/**
 * The flow of the same pump at another speed, at the matching point of its curve.
 * @param flowM3PerS at the first speed [m3/s], 0 or more
 * @param speedRatio new speed over first speed [-], above 0; good within about a factor of two
 * @returns [m3/s]; NaN outside the range
 * Reference: [doe-hdbk-1012], volume 3, pump laws.
 */
export function affinityFlowM3PerS(flowM3PerS: number, speedRatio: number): number {
  if (!(flowM3PerS >= 0 && speedRatio > 0)) return Number.NaN;
  return flowM3PerS * speedRatio;
}
