const TERMS = [
  [280.68, -1.9],
  [511.45, -7.7],
  [61.131, -19.6],
  [0.459_03, -40],
] as const;

/**
 * Dynamic viscosity of liquid water at 0.1 MPa.
 * @param temperatureK [K], 253.15 to 383.15
 * @returns [Pa s]; NaN outside the range
 * Reference: [iapws-sr6-08], equation 7.
 */
export function waterViscosityPaS(temperatureK: number): number {
  if (!(temperatureK >= 253.15 && temperatureK <= 383.15)) return Number.NaN;
  let microPaS = 0;
  for (const [factor, power] of TERMS) microPaS += factor * (temperatureK / 300) ** power;
  return microPaS * 1e-6;
}
