import { AIR_CV_J_PER_KG_K, AIR_GAS_CONSTANT_J_PER_KG_K } from '../constants.ts';

/** The gas side of a tank: what is built, and what it holds now. */
export interface TankState {
  volumeM3: number;
  gasKg: number;
  gasM3: number;
  gasK: number;
  wallK: number;
  gasPa: number;
}

export interface TankHeat {
  /** Gas to wall at the reference state (5 bar absolute, half full, 1 K apart), W/K. */
  gasToWallWPerK: number;
  /** Wall heat capacity, J/K, and its path to the room, W/K. */
  wallJPerK: number;
  wallToRoomWPerK: number;
}

const REFERENCE_PA = 5e5;

/**
 * Free convection from gas to wall, W/K: grows with density squared and temperature difference
 * to a fourth root, and with the wall the gas touches. Source: Incropera & DeWitt, Fundamentals
 * of Heat and Mass Transfer, chapter 9 (Nu ~ Ra^(1/4), from memory).
 */
export function gasConductance(tank: TankState, heat: TankHeat): number {
  const density = Math.sqrt(tank.gasPa / REFERENCE_PA);
  const touched = ((2 * tank.gasM3) / tank.volumeM3) ** (2 / 3);
  const difference = (0.3 + Math.abs(tank.gasK - tank.wallK)) ** 0.25;
  return heat.gasToWallWPerK * density * touched * difference;
}

/** Heat and work of one step, J, for the books. */
export interface TankExchange {
  /** Work done by the gas on the water. */
  workJ: number;
  /** Heat from gas to wall, from wall to room. */
  toWallJ: number;
  toRoomJ: number;
}

/**
 * Temperature of the gas after its volume goes from that of `tank` to `toM3` in `dtS`, K:
 * m cv dT = -P dV - hA (T - Tw) dt, P and T in the middle of the step, P = m R T / V.
 */
export function gasTemperatureAfter(
  tank: TankState,
  conductanceWPerK: number,
  toM3: number,
  dtS: number,
): number {
  const mcv = tank.gasKg * AIR_CV_J_PER_KG_K;
  const mr = tank.gasKg * AIR_GAS_CONSTANT_J_PER_KG_K;
  const dv = toM3 - tank.gasM3;
  const half = 0.5 * conductanceWPerK * dtS;
  const known = mcv * tank.gasK - 0.5 * tank.gasPa * dv - half * (tank.gasK - 2 * tank.wallK);
  return known / (mcv + (0.5 * mr * dv) / toM3 + half);
}

/** Moves the tank to a new gas volume and keeps the books of that step in `out`. */
export function stepTank(
  tank: TankState,
  heat: TankHeat,
  step: { toM3: number; dtS: number; roomK: number; conductanceWPerK: number },
  out: TankExchange,
): void {
  const gasK = gasTemperatureAfter(tank, step.conductanceWPerK, step.toM3, step.dtS);
  const gasPa = (tank.gasKg * AIR_GAS_CONSTANT_J_PER_KG_K * gasK) / step.toM3;
  out.workJ = 0.5 * (tank.gasPa + gasPa) * (step.toM3 - tank.gasM3);
  out.toWallJ = step.conductanceWPerK * step.dtS * (0.5 * (tank.gasK + gasK) - tank.wallK);
  // The wall is slow: its own step is implicit in the room's pull.
  const pull = heat.wallToRoomWPerK * step.dtS;
  const wallK =
    (heat.wallJPerK * tank.wallK + out.toWallJ + pull * step.roomK) / (heat.wallJPerK + pull);
  out.toRoomJ = pull * (wallK - step.roomK);
  tank.gasK = gasK;
  tank.gasPa = gasPa;
  tank.gasM3 = step.toM3;
  tank.wallK = wallK;
}

/** Gas mass of an empty tank at this precharge, kg. */
export function prechargeKg(volumeM3: number, prechargePaAbsolute: number, gasK: number): number {
  return (prechargePaAbsolute * volumeM3) / (AIR_GAS_CONSTANT_J_PER_KG_K * gasK);
}
