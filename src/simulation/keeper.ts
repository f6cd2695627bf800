import { GALLON_M3, GPM_M3_PER_S, PSI_PA } from './constants.ts';
import type { Plant } from './plant/plant.ts';

/** A bucket test as the keeper would write it down. */
export interface BucketResult {
  startS: number;
  stopS: number;
  volumeM3: number;
}

const WAIT_S = 330;
const AFTER_S = 330;
const TEST_GPM = 2.5;

/**
 * The keeper at a bucket test: nobody else draws, a tap runs until the pump has filled the tank,
 * five minutes of rest, breaker off, a measured draw, five minutes of rest, breaker on.
 */
export class BucketKeeper {
  result: BucketResult | null = null;
  readonly #atS: number;
  #phase: 'before' | 'fill' | 'wait' | 'draw' | 'after' | 'done' = 'before';
  #sinceS = 0;
  #startS = 0;
  #usedFromM3 = 0;
  #hasRun = false;

  constructor(atS: number) {
    this.#atS = atS;
  }

  /** How long the plant may step before the keeper must look again, s. */
  longestStepS(timeS: number): number {
    if (this.#phase === 'done') return Number.POSITIVE_INFINITY;
    if (this.#phase === 'before') return Math.max(this.#atS - timeS, 0.01);
    return this.#phase === 'draw' ? 0.1 : 1;
  }

  act(plant: Plant): void {
    if (this.#phase === 'done') return;
    const t = plant.timeS;
    if (this.#phase === 'before') {
      if (t < this.#atS) return;
      plant.taps.closeAll();
      plant.taps.shut = true;
      this.#open(plant, 3.5);
      this.#enter('fill', t);
    } else if (this.#phase === 'fill') this.#fill(plant, t);
    else if (this.#phase === 'wait') this.#wait(plant, t);
    else if (this.#phase === 'draw') this.#draw(plant, t);
    else if (t - this.#sinceS > AFTER_S) {
      plant.breakerOn = true;
      plant.taps.shut = false;
      this.#enter('done', t);
    }
  }

  #enter(phase: 'fill' | 'wait' | 'draw' | 'after' | 'done', t: number): void {
    this.#phase = phase;
    this.#sinceS = t;
  }

  #open(plant: Plant, gpm: number): void {
    plant.taps.conductance = (gpm * GPM_M3_PER_S) / Math.sqrt(50 * PSI_PA);
  }

  /** The tap is closed once the pump starts; then the pump fills the tank and stops. */
  #fill(plant: Plant, t: number): void {
    if (plant.running) {
      this.#hasRun = true;
      plant.taps.conductance = 0;
    }
    if (this.#hasRun && !plant.running) this.#enter('wait', t);
    // A system that cannot finish a fill gets no test.
    if (t - this.#sinceS > 7200) {
      plant.taps.conductance = 0;
      plant.taps.shut = false;
      this.#enter('done', t);
    }
  }

  #wait(plant: Plant, t: number): void {
    if (plant.running) this.#enter('fill', t);
    if (t - this.#sinceS < WAIT_S) return;
    plant.breakerOn = false;
    this.#usedFromM3 = plant.books.usedM3;
    this.#startS = t;
    this.#open(plant, TEST_GPM);
    this.#enter('draw', t);
  }

  #draw(plant: Plant, t: number): void {
    const drawn = plant.books.usedM3 - this.#usedFromM3;
    const keep = plant.design.cutInPaGauge + 2.5 * PSI_PA;
    const enough = drawn >= 10 * GALLON_M3;
    if (!enough && plant.tee.pressurePa > keep && t - this.#sinceS < 900) return;
    plant.taps.conductance = 0;
    this.result = { startS: this.#startS, stopS: t, volumeM3: drawn };
    this.#enter('after', t);
  }
}
