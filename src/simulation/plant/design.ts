import type { AquiferDesign } from './aquifer.ts';
import type { MotorCircuit } from './motor.ts';
import type { MotorKind } from './motor-circuits.ts';
import type { NeighbourWell } from './neighbours.ts';
import type { PipeRun } from './pipe-friction.ts';
import type { PumpDesign } from './pump.ts';
import type { TankHeat } from './tank.ts';

/** Everything that is physically there, as it truly is. */
export interface PlantDesign {
  atmospherePa: number;
  motorKind: MotorKind;
  motor: MotorCircuit;
  ratedShaftW: number;
  serviceFactorA: number;
  lineV: number;
  /** Resistance up to the motor, and of it the part before the house's own meter, ohm. */
  supplyOhm: number;
  serviceOhm: number;
  pump: PumpDesign;
  /** Drop pipe and line to the house together. */
  riser: PipeRun;
  intakeDepthM: number;
  teeAboveGroundM: number;
  staticDepthM: number;
  /** Half the swing of the static level over the year, m. */
  seasonM: number;
  aquifer: AquiferDesign;
  neighbours: NeighbourWell[];
  tankM3: number;
  prechargePaGauge: number;
  tankHeat: TankHeat;
  /** Pressure between tee and tank per flow squared, Pa s2/m6. */
  teeFriction: number;
  pipeElasticityM3PerPa: number;
  cutInPaGauge: number;
  cutOutPaGauge: number;
  switchScatterPa: number;
  contactLagS: number;
  reliefPaGauge: number;
  reliefReseatPa: number;
  reliefGainM3PerSPa: number;
  roomMeanK: number;
  roomDailyK: number;
  waterK: number;
}
