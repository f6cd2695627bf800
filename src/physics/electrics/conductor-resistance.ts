/**
 * Resistance of one solid copper conductor to direct current. A stranded one of the same gauge
 * has about 2 % more; at 60 Hz and house sizes the difference to alternating current is below 1 %.
 * @param conductor.areaM2 cross-section [m2], above 0
 * @param conductor.lengthM one way [m], 0 or more
 * @param conductor.temperatureK of the conductor [K], 223 to 423
 * @returns [ohm]; NaN outside the range
 * Reference: [iec-60028], annealed copper 0.017241 ohm mm2/m and 0.00393 /K at 20 degC.
 */
export function conductorResistanceOhm(conductor: {
  areaM2: number;
  lengthM: number;
  temperatureK: number;
}): number {
  const { areaM2, lengthM, temperatureK } = conductor;
  if (!(areaM2 > 0 && lengthM >= 0 && temperatureK >= 223 && temperatureK <= 423)) {
    return Number.NaN;
  }
  const resistivityOhmM = 1.7241e-8 * (1 + 0.003_93 * (temperatureK - 293.15));
  return (resistivityOhmM * lengthM) / areaM2;
}
