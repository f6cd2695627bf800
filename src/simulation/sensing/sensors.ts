import { GPM_M3_PER_S, PSI_PA } from '../constants.ts';
import type { Plant } from '../plant/plant.ts';
import { SlowNoise } from '../plant/slow-noise.ts';
import { createRandom, type Random } from '../random.ts';
import type { Row } from './row.ts';
import { StartClock } from './start-clock.ts';

/** The measuring chain as it is built. */
export interface SensingDesign {
  pressureNoisePa: number;
  /** Errors left after calibration. */
  pressureOffsetPa: number;
  pressureGain: number;
  pressureTempcoPaPerK: number;
  /** Step of the converter, Pa and A; 0 for one too fine to see. */
  pressureStepPa: number;
  currentStepA: number;
  fullScalePa: number;
  currentGain: number;
  currentNoiseA: number;
  /** What the clamp shows with no current. */
  currentFloorA: number;
  /** Length of the RMS window, s. */
  rmsWindowS: number;
  mainsGain: number;
  airOffsetK: number;
}

export function usualSensing(pressureNoisePa: number, random: Random): SensingDesign {
  return {
    pressureNoisePa,
    pressureOffsetPa: 0.25 * PSI_PA * random.normal(),
    pressureGain: 1 + 0.004 * random.normal(),
    pressureTempcoPaPerK: 0.015 * PSI_PA * random.normal(),
    pressureStepPa: 0.02 * PSI_PA,
    currentStepA: 0.002,
    fullScalePa: 150 * PSI_PA,
    currentGain: 1 + 0.01 * random.normal(),
    currentNoiseA: 0.012,
    currentFloorA: random.between(0.02, 0.06),
    rmsWindowS: 0.2,
    mainsGain: 1 + 0.003 * random.normal(),
    airOffsetK: 0.4 * random.normal(),
  };
}

/** Damped ring of the pipes after a sudden stop or start. */
const RING_HZ = 4.3;
const RING_DAMPED_S = 0.4;
const USUAL_RING_PA = 0.8 * PSI_PA;

/** Draws that stop by this much at once make the pipes ring. */
const SHARP_M3_PER_S = GPM_M3_PER_S;

/** Pressure transducer and current clamp, with what is wrong with them. */
export class Sensors {
  readonly design: SensingDesign;
  readonly #random: Random;
  readonly #drift: SlowNoise;
  #portPa: number;
  #ringPa = 0;
  #ringAtS = 0;
  #ran = false;
  #square = 0;
  #peakA = 0;
  #usedM3PerS = 0;
  #start = new StartClock();
  #lastPressurePa = Number.NaN;

  constructor(design: SensingDesign, pressurePa: number, seed: number) {
    this.design = design;
    this.#random = createRandom(seed, 'sensors');
    this.#drift = new SlowNoise(createRandom(seed, 'pressure-drift'), 3600, 3 * 86400);
    this.#portPa = pressurePa;
  }

  /** Follows the plant through one step that has just been made. */
  follow(plant: Plant, dtS: number): void {
    const kept = 1 - Math.exp(-dtS / plant.condition.portLagS);
    this.#portPa += kept * (plant.tee.pressurePa - this.#portPa);
    // The window holds the mean square of the last `rmsWindowS` of current.
    const share = Math.min(1, dtS / this.design.rmsWindowS);
    const amps = plant.drive.electric.currentA;
    this.#peakA = Math.max(this.#peakA, amps);
    this.#start.follow(amps, dtS);
    this.#square += share * (amps * amps - this.#square);
    this.#listenForHammer(plant);
  }

  /** Pipes ring when the pump starts or stops and, less, when a tap shuts fast. */
  #listenForHammer(plant: Plant): void {
    const runs = plant.running;
    const full = USUAL_RING_PA + plant.condition.hammerPa;
    const shutM3PerS = this.#usedM3PerS - plant.tee.flows.usedM3PerS;
    this.#usedM3PerS = plant.tee.flows.usedM3PerS;
    if (runs !== this.#ran) {
      this.#ran = runs;
      this.#ring(plant, (runs ? 0.4 : 1) * full);
    } else if (shutM3PerS > SHARP_M3_PER_S) {
      this.#ring(plant, 0.6 * full * Math.min(1, shutM3PerS / (4 * SHARP_M3_PER_S)));
    }
  }

  #ring(plant: Plant, amplitudePa: number): void {
    this.#ringAtS = plant.timeS;
    this.#ringPa = amplitudePa;
  }

  /** All channels at this moment; the peak starts anew. */
  row(plant: Plant, timeS: number): Row {
    const off = plant.condition.currentOff;
    const gain = this.design.currentGain * plant.condition.currentGain;
    const peak = off ? 0 : Math.min(this.#peakA * gain, plant.condition.currentClipA);
    const row: Row = {
      timeS,
      pressurePaGauge: this.pressurePaGauge(plant),
      currentA: this.currentA(plant),
      currentPeakA: Math.hypot(peak, this.design.currentFloorA),
      startTimeS: off ? null : this.#start.take(),
      mainsV: plant.mainsV * this.design.mainsGain,
      airK: plant.roomK + this.design.airOffsetK,
      boot: 0,
      seq: 0,
      uptimeS: 0,
    };
    this.#peakA = plant.drive.electric.currentA;
    return row;
  }

  /** Pressure as reported, Pa gauge. */
  pressurePaGauge(plant: Plant): number {
    const condition = plant.condition;
    if (condition.pressureStuckAt === 'last' && Number.isFinite(this.#lastPressurePa)) {
      return this.#lastPressurePa;
    }
    const { design } = this;
    const full = design.fullScalePa;
    const noise = design.pressureNoisePa * this.#random.normal();
    if (condition.pressureStuckAt === 'low') return -0.124 * full + 0.1 * noise;
    if (condition.pressureStuckAt === 'high') return 1.124 * full + 0.1 * noise;
    const since = plant.timeS - this.#ringAtS;
    const ring =
      this.#ringPa * Math.exp(-since / RING_DAMPED_S) * Math.cos(2 * Math.PI * RING_HZ * since);
    const warm = design.pressureTempcoPaPerK * (plant.roomK - plant.design.roomMeanK);
    const drift = 0.04 * PSI_PA * this.#drift.at(plant.timeS);
    let value = (this.#portPa + ring) * design.pressureGain * condition.pressureGain;
    value += design.pressureOffsetPa + condition.pressureZeroPa + warm + drift + noise;
    // A ratiometric output sags with its supply while the pump loads it, zero shifts included.
    if (plant.running) value -= condition.supplySagShare * (value + 0.125 * full);
    const step = design.pressureStepPa;
    if (step > 0) value = Math.round(value / step) * step;
    this.#lastPressurePa = value;
    return value;
  }

  /** Current as reported, A rms. */
  currentA(plant: Plant): number {
    const condition = plant.condition;
    const { design } = this;
    const noise = design.currentNoiseA * this.#random.normal();
    let amps = condition.currentOff ? 0 : Math.sqrt(this.#square);
    amps *= design.currentGain * condition.currentGain;
    amps = Math.min(amps, condition.currentClipA);
    // Floor and signal add in power, as noise does in an RMS value.
    let value = Math.sqrt(amps * amps + design.currentFloorA ** 2) + noise;
    if (amps === 0) value = design.currentFloorA + 0.7 * noise;
    const step = design.currentStepA;
    if (step > 0) value = Math.round(value / step) * step;
    return Math.max(0, value);
  }
}
