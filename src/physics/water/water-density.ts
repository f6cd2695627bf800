// Coefficients of equation 2: [coefficient, exponent].
const ALPHA_TERMS = [
  [6.744_584_46e3, 4],
  [-2.225_216_04e5, 5],
  [1.002_312_47e8, 7],
  [-1.635_521_18e9, 8],
  [8.322_996_58e9, 9],
] as const;
const BETA_TERMS = [
  [5.785_452_92e-3, 1],
  [-1.531_956_65e-2, 2],
  [3.113_378_59e-2, 3],
  [-4.235_462_41e-2, 4],
  [3.387_135_07e-2, 5],
  [-1.199_467_61e-2, 6],
] as const;

/**
 * Density of liquid water at 0.1 MPa.
 * @param temperatureK [K], 253.15 to 383.15 (supercooled and superheated liquid included)
 * @returns [kg/m3]; NaN outside the range
 * Reference: [iapws-sr6-08], equation 2.
 */
export function waterDensityKgPerM3(temperatureK: number): number {
  if (!(temperatureK >= 253.15 && temperatureK <= 383.15)) return Number.NaN;
  const alpha = 10 / (593 - temperatureK);
  const beta = 10 / (temperatureK - 232);
  let volume = 1.937_631_57e-2;
  for (const [factor, power] of ALPHA_TERMS) volume += factor * alpha ** power;
  for (const [factor, power] of BETA_TERMS) volume += factor * beta ** power;
  const gasConstantJPerKgK = 461.518_05;
  return 1e5 / (gasConstantJPerKgK * 10 * volume);
}
