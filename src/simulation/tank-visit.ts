import { DAY_S, GPM_M3_PER_S, PSI_PA } from './constants.ts';
import type { FaultSpec } from './faults/faults.ts';
import type { Plant } from './plant/plant.ts';

/** Faults that someone mends at the tank, with the water out of it. */
const AT_THE_TANK: readonly string[] = ['tank-waterlogged', 'precharge-low', 'precharge-high'];
/** The visit begins this long before the fault is mended. */
const BEFORE_S = 3000;
const DRAIN_GPM = 4;

/**
 * A person mends the tank as it is done: breaker off, house shut, water drained to nothing, air
 * set, breaker on. Without it the air would come back into a tank under pressure.
 */
export class TankVisit {
  readonly #mendedS: number;
  #phase: 'before' | 'draining' | 'done' = 'before';

  constructor(mendedS: number) {
    this.#mendedS = mendedS;
  }

  longestStepS(timeS: number): number {
    if (this.#phase === 'done') return Number.POSITIVE_INFINITY;
    const nextS = this.#phase === 'before' ? this.#mendedS - BEFORE_S : this.#mendedS + 1;
    return Math.max(nextS - timeS, 0.01);
  }

  act(plant: Plant): void {
    const { timeS, taps } = plant;
    if (this.#phase === 'before' && timeS >= this.#mendedS - BEFORE_S) {
      this.#phase = 'draining';
      plant.breakerOn = false;
      taps.closeAll();
      taps.shut = true;
      taps.conductance = (DRAIN_GPM * GPM_M3_PER_S) / Math.sqrt(50 * PSI_PA);
    } else if (this.#phase === 'draining' && timeS >= this.#mendedS + 1) {
      this.#phase = 'done';
      plant.tee.setAir(plant.condition.gasShare);
      taps.conductance = 0;
      taps.shut = false;
      plant.breakerOn = true;
    }
  }
}

/** One visit for each fault at the tank that is mended. */
export function tankVisits(faults: readonly FaultSpec[], startS: number): TankVisit[] {
  return faults
    .filter((fault) => AT_THE_TANK.includes(fault.name) && fault.mendedDay !== undefined)
    .map((fault) => new TankVisit(startS + fault.mendedDay! * DAY_S));
}
