import type { Equipment } from '../../model/well.ts';
import { electricPowerW } from '../../physics/electrics/electric-power.ts';
import { magnetisingCurrentA } from '../../physics/electrics/magnetising-current.ts';
import { typicalPowerFactor } from '../../physics/electrics/typical-power-factor.ts';

/** How amps become watts, from the nameplate. */
export interface PowerModel {
  voltageV: number;
  magnetisingA: number;
  /** Used where amps fall below the magnetising part, and where the motor is not known. */
  powerFactor: number;
  lines: number;
  /** Handbook: 8 to 12 % without a look at the utility's meter (derived there). */
  relStd: number;
}

export function powerModel(equipment: Equipment): PowerModel {
  const voltageV = equipment.voltageV?.value ?? 230;
  const capacitorRun = equipment.motor === '3-wire capacitor-run';
  const typical = typicalPowerFactor(equipment.powerW?.value ?? 745.7, capacitorRun);
  const powerFactor = Number.isNaN(typical) ? 0.78 : typical;
  const amps = equipment.serviceFactorCurrentA?.value ?? equipment.fullLoadCurrentA?.value ?? NaN;
  const magnetisingA = magnetisingCurrentA({ currentA: amps, powerFactor });
  const known = equipment.voltageV !== null && !Number.isNaN(magnetisingA);
  return {
    voltageV,
    magnetisingA,
    powerFactor,
    lines: equipment.phases === 3 ? Math.sqrt(3) : 1,
    relStd: known ? 0.1 : 0.2,
  };
}

/** Electric power [W] at a line current [A] and, where measured, a line voltage [V]. */
export function powerAt(model: PowerModel, currentA: number, mainsV: number): number {
  const voltageV = Number.isNaN(mainsV) ? model.voltageV : mainsV;
  const { magnetisingA, lines } = model;
  const powerW = electricPowerW({ currentA, voltageV, magnetisingA });
  // Unloaded, a motor still takes its losses: about a third of its apparent power (handbook D.1).
  if (Number.isNaN(powerW) || powerW < 0.3 * voltageV * currentA)
    return lines * voltageV * currentA * (Number.isNaN(magnetisingA) ? model.powerFactor : 0.3);
  return lines * powerW;
}
