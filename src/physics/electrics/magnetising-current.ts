/**
 * Magnetising current of a motor from a point where its power factor is known. Iron near
 * saturation makes it rise with the square of the voltage, more than the voltage itself.
 * @param motor.currentA at that point [A], 0 or more
 * @param motor.powerFactor at that point [-], 0 to 1
 * @param motor.voltageRatio voltage now over voltage at that point [-], 0.8 to 1.2; default 1
 * @returns [A]; NaN outside the range
 * Reference: [iec-60050-131] for the reactive part; the square is common practice for small
 * induction motors near rated voltage, from memory.
 */
export function magnetisingCurrentA(motor: {
  currentA: number;
  powerFactor: number;
  voltageRatio?: number;
}): number {
  const { currentA, powerFactor, voltageRatio = 1 } = motor;
  if (!(currentA >= 0 && powerFactor >= 0 && powerFactor <= 1)) return Number.NaN;
  if (!(voltageRatio >= 0.8 && voltageRatio <= 1.2)) return Number.NaN;
  return currentA * Math.sqrt(1 - powerFactor ** 2) * voltageRatio ** 2;
}
