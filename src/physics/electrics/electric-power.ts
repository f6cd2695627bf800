/**
 * Active power of a single-phase motor from its current: the inverse of `lineCurrentA`.
 * @param motor.currentA [A], not below the magnetising current
 * @param motor.voltageV at the motor [V], above 0
 * @param motor.magnetisingA the part at right angles to the voltage [A], 0 or more
 * @returns [W]; NaN outside the range
 * Reference: sum of active and reactive current, [iec-60050-131].
 */
export function electricPowerW(motor: {
  currentA: number;
  voltageV: number;
  magnetisingA: number;
}): number {
  const { currentA, voltageV, magnetisingA } = motor;
  if (!(currentA >= magnetisingA && voltageV > 0 && magnetisingA >= 0)) return Number.NaN;
  return voltageV * Math.sqrt((currentA - magnetisingA) * (currentA + magnetisingA));
}
