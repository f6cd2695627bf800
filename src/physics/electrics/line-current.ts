/**
 * Current of a single-phase motor from its active power and its magnetising current.
 * @param motor.powerW electric power [W], 0 or more
 * @param motor.voltageV at the motor [V], above 0
 * @param motor.magnetisingA the part at right angles to the voltage [A], 0 or more
 * @returns [A]; NaN outside the range
 * Reference: sum of active and reactive current, [iec-60050-131]; no-load and load points
 * of an own table of generic motors.
 */
export function lineCurrentA(motor: {
  powerW: number;
  voltageV: number;
  magnetisingA: number;
}): number {
  const { powerW, voltageV, magnetisingA } = motor;
  if (!(powerW >= 0 && voltageV > 0 && magnetisingA >= 0)) return Number.NaN;
  return Math.hypot(powerW / voltageV, magnetisingA);
}
