/**
 * Mean pressure of the air at an altitude: what a gauge pressure is counted from.
 * Weather moves the true value by about 2 %.
 * @param altitudeM geometric altitude above sea level [m], -2000 to 11000
 * @returns absolute pressure [Pa]; NaN outside the range
 * Reference: [us-std-atm-1976], equations 18 and 33a (layer 0); the same as [iso-2533].
 */
export function atmosphericPressurePa(altitudeM: number): number {
  if (!(altitudeM >= -2000 && altitudeM <= 11_000)) return Number.NaN;
  const earthRadiusM = 6_356_766;
  const geopotentialM = (earthRadiusM * altitudeM) / (earthRadiusM + altitudeM);
  const exponent = (9.80665 * 28.9644) / (8314.32 * 0.0065);
  return 101_325 * (1 - (0.0065 * geopotentialM) / 288.15) ** exponent;
}
