import { GRAVITY_M_PER_S2 } from '../constants.ts';

/**
 * The least energy that can lift water by a head. A measured value below it proves that a
 * volume, a level or a power is wrong.
 * @param headM total head: pumping level plus tee pressure plus friction [m], 0 or more
 * @param densityKgPerM3 [kg/m3], above 0; default 999.7, water at 10 degC
 * @returns [J/m3]; NaN outside the range
 * Reference: [crane-tp410], water horsepower per flow; E = density * g * head.
 */
export function energyPerVolumeFloorJPerM3(headM: number, densityKgPerM3 = 999.7): number {
  if (!(headM >= 0 && densityKgPerM3 > 0)) return Number.NaN;
  return densityKgPerM3 * GRAVITY_M_PER_S2 * headM;
}
