/**
 * Electric energy used for each volume pumped.
 * @param powerW electric power while pumping [W], 0 or more
 * @param flowM3PerS delivery [m3/s], above 0
 * @returns [J/m3]; NaN outside the range
 * Reference: [crane-tp410], example 7.34; E = power / flow.
 */
export function energyPerVolumeJPerM3(powerW: number, flowM3PerS: number): number {
  if (!(powerW >= 0 && flowM3PerS > 0)) return Number.NaN;
  return powerW / flowM3PerS;
}
