import type { Equipment, Quantity } from '../../model/well.ts';
import { motorElectricPowerW } from '../../physics/electrics/motor-electric-power.ts';
import { typicalPowerFactor } from '../../physics/electrics/typical-power-factor.ts';
import { MOTOR_LOADING, serviceFactor } from './nominal-delivery.ts';

/** Amps with the pump at work, before any was seen, and their relative standard uncertainty. */
export interface PlateAmps {
  currentA: number;
  relStd: number;
}

/** Amps at mid band of a pump that loads its motor as makers do: nearly to the service factor. */
const OF_SERVICE_FACTOR = { ratio: 0.96, relStd: 0.07 };
/** Makers tell the amps at the load that they name, or at the service factor: up to 20 % more. */
const OF_FULL_LOAD = { ratio: 1.1, relStd: 0.12 };
/** By power, voltage and a usual power factor; much wider where the kind of motor is not known. */
const OF_POWER_REL_STD = 0.17;
const OF_ANY_MOTOR_REL_STD = 0.3;
/** What a motor loses without load [W], and what it takes per watt of load. */
const NO_LOAD_W = 210;
const SLOPE = 1.3;

/**
 * What the plate of the motor says it takes at work. Ratios and spreads from memory; NaN where the
 * well file does not say enough.
 */
export function plateAmps(equipment: Equipment): PlateAmps {
  const { serviceFactorCurrentA, fullLoadCurrentA, motor } = equipment;
  if (serviceFactorCurrentA !== null) return ofPlate(serviceFactorCurrentA, OF_SERVICE_FACTOR);
  if (fullLoadCurrentA !== null) return ofPlate(fullLoadCurrentA, OF_FULL_LOAD);
  const relStd = motor === null ? OF_ANY_MOTOR_REL_STD : OF_POWER_REL_STD;
  return { currentA: ofPower(equipment), relStd };
}

function ofPlate(amps: Quantity, of: { ratio: number; relStd: number }): PlateAmps {
  const relStd = Math.hypot(of.relStd, amps.std / amps.value);
  return { currentA: of.ratio * amps.value, relStd };
}

function ofPower({ powerW, voltageV, phases, motor }: Equipment): number {
  if (powerW === null || voltageV === null || phases === 3 || motor === 'three-phase') return NaN;
  const shaftPowerW = powerW.value * serviceFactor(powerW.value) * MOTOR_LOADING;
  const electricW = motorElectricPowerW({ shaftPowerW, noLoadPowerW: NO_LOAD_W, slope: SLOPE });
  const factor = typicalPowerFactor(powerW.value, motor === '3-wire capacitor-run');
  return electricW / (voltageV.value * factor);
}
