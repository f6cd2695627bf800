/**
 * How far the tank's gas is from the temperature of its wall after a step in which the
 * logarithm of its pressure changed at a steady rate: the exact solution of
 * d theta/dt = kappa d(ln P)/dt - theta/tau, theta = ln(T/T wall) at constant pressure.
 * At rest the gas volume is fixed, so theta and P fall together with tau (1 - kappa).
 * Takes plain arguments because it runs once a reading.
 * @param theta at the start of the step [-]
 * @param deltaLnPressure change of ln(absolute pressure) over the step [-]
 * @param elapsedS length of the step [s], 0 or more
 * @param kappa (cp - cv)/cp of the gas [-], 2/7 for dry air
 * @param tauS time constant of the heat flow to the wall at constant pressure [s], above 0
 * @returns theta at the end of the step [-]; NaN outside the range
 * Reference: [otis-pourmovahed-1985] for the thermal time constant; first law for an ideal gas.
 */
export function gasLogTemperatureStep(
  theta: number,
  deltaLnPressure: number,
  elapsedS: number,
  kappa: number,
  tauS: number,
): number {
  if (!(tauS > 0 && elapsedS >= 0)) return Number.NaN;
  const steps = elapsedS / tauS;
  const fading = -Math.expm1(-steps);
  const kept = steps === 0 ? 1 : fading / steps;
  return theta * (1 - fading) + kappa * deltaLnPressure * kept;
}
