import { GRAVITY_M_PER_S2 } from '../../physics/constants.ts';
import { energyPerVolumeFloorJPerM3 } from '../../physics/energy/energy-per-volume-floor.ts';
import { headLossHazenWilliamsM } from '../../physics/hydraulics/head-loss-hazen-williams.ts';
import type { DayRecord } from './days.ts';
import type { Known } from './state.ts';

const RHO = 999.7;

/**
 * The least energy that lifts a cubic metre [J/m3]: pumping level [m below ground], pipe friction
 * at the nameplate's delivery and the day's mean tee pressure. NaN for a day hardly pumped on.
 */
export function dayEnergyFloor(day: DayRecord, known: Known, levelM: number): number {
  if (day.pressureS < 10) return NaN;
  const { equipment, nominal } = known;
  const teeM = day.pressureSum / day.pressureS / (RHO * GRAVITY_M_PER_S2);
  const insideDiameterM = equipment.pipeInsideDiameterM?.value ?? NaN;
  const lengthM = equipment.pipeLengthM?.value ?? NaN;
  const frictionM = headLossHazenWilliamsM({
    flowM3PerS: nominal.flowM3PerS,
    coefficient: equipment.pipeMaterial === 'steel' ? 110 : 140,
    insideDiameterM,
    lengthM,
  });
  const headM = levelM + teeM + (Number.isNaN(frictionM) ? 0 : frictionM);
  return energyPerVolumeFloorJPerM3(Math.max(headM, 0));
}
