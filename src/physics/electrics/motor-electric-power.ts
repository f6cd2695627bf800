/**
 * Electric input of a small submersible motor at part load: a fixed loss and a share of the load.
 * @param motor.shaftPowerW [W], 0 or more
 * @param motor.noLoadPowerW electric input without load [W], 0 or more; 190 to 235 W is typical
 * @param motor.slope electric watts per shaft watt [-], 1 or more; 1.3 is typical
 * @returns [W]; NaN outside the range
 * Reference: own straight-line fit to generic motors of 1/2 to 3 hp, from memory; no maker.
 */
export function motorElectricPowerW(motor: {
  shaftPowerW: number;
  noLoadPowerW: number;
  slope: number;
}): number {
  const { shaftPowerW, noLoadPowerW, slope } = motor;
  if (!(shaftPowerW >= 0 && noLoadPowerW >= 0 && slope >= 1)) return Number.NaN;
  return noLoadPowerW + slope * shaftPowerW;
}
