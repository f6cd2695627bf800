import { GRAVITY_M_PER_S2 } from '../constants.ts';

/**
 * Power that lifting a flow by a head needs before any loss.
 * @param lift.flowM3PerS [m3/s], 0 or more
 * @param lift.headM [m of the liquid], 0 or more
 * @param lift.densityKgPerM3 [kg/m3], above 0
 * @returns [W]; NaN outside the range
 * Reference: [crane-tp410], equation for water horsepower; P = density * g * flow * head.
 */
export function hydraulicPowerW(lift: {
  flowM3PerS: number;
  headM: number;
  densityKgPerM3: number;
}): number {
  const { flowM3PerS, headM, densityKgPerM3 } = lift;
  if (!(flowM3PerS >= 0 && headM >= 0 && densityKgPerM3 > 0)) return Number.NaN;
  return densityKgPerM3 * GRAVITY_M_PER_S2 * flowM3PerS * headM;
}
