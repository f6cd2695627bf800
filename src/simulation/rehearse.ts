import { DAY_S } from './constants.ts';
import { sound } from './faults/condition.ts';
import { applyFaults, type FaultSpec } from './faults/faults.ts';
import { drawsOfDay } from './household/household.ts';
import { Taps } from './household/taps.ts';
import { BucketKeeper, type BucketResult } from './keeper.ts';
import { Plant } from './plant/plant.ts';
import { createRandom } from './random.ts';
import { type Reporting, Reporter, type Row } from './sensing/reporting.ts';
import { Sensors, usualSensing } from './sensing/sensors.ts';
import type { System } from './build-system.ts';
import { type Truth, TruthKeeper } from './truth.ts';

export interface Scenario {
  system: System;
  /** Unix time of a local midnight. */
  startS: number;
  /** Local time less UTC, s. */
  offsetS: number;
  days: number;
  seed: number;
  faults: FaultSpec[];
  reporting: Reporting;
  /** Day, counted from 0, on which the keeper makes a bucket test at 14:20; null for none. */
  bucketDay: number | null;
}

export interface Rehearsal {
  plant: Plant;
  /** Makes the whole log, a row at a time. */
  run(sink: (row: Row) => void): void;
  truth(): Truth;
  bucket(): BucketResult | null;
}

/** Conditions are looked at this often; faults that come and go move no faster. */
const CONDITION_S = 20;
/** Longest step at rest, s: the gas must be followed while it settles. */
const REST_STEP_S = 5;

/** A rehearsal of a scenario: the plant, its sensors and its device, and what really happened. */
export function rehearse(scenario: Scenario): Rehearsal {
  const { system, startS, seed } = scenario;
  const taps = new Taps();
  const plant = new Plant(system.design, taps, startS, seed);
  const chain = usualSensing(system.sensing.pressureNoisePa, createRandom(seed, 'chain'));
  const sensors = new Sensors(chain, plant.tee.pressurePa, seed);
  const reporter = new Reporter(scenario.reporting);
  const truth = new TruthKeeper(plant, scenario.offsetS);
  const testAt =
    scenario.bucketDay === null
      ? Number.POSITIVE_INFINITY
      : startS + scenario.bucketDay * DAY_S + 14 * 3600 + 20 * 60;
  const keeper = new BucketKeeper(testAt);

  const run = (sink: (row: Row) => void): void => {
    const endS = startS + scenario.days * DAY_S;
    let sampleS = startS;
    let conditionS = startS;
    let dayIndex = -1;
    let refillS = startS;
    while (plant.timeS < endS - 1e-6) {
      const t = plant.timeS;
      const day = Math.floor((t - startS + 1e-6) / DAY_S);
      if (day !== dayIndex) {
        dayIndex = day;
        const midnightS = startS + day * DAY_S;
        taps.add(drawsOfDay(system.household, { seed, dayIndex, midnightS }));
      }
      if (t >= conditionS - 1e-6) {
        plant.condition = sound();
        applyFaults(plant.condition, scenario.faults, { design: system.design, startS, timeS: t });
        conditionS += CONDITION_S;
        refillS = refill(plant, refillS);
      }
      keeper.act(plant);
      const ran = plant.running;
      let dt = plant.longestStepS(REST_STEP_S);
      dt = Math.min(dt, sampleS - t > 1e-6 ? sampleS - t : dt, conditionS - t);
      dt = Math.min(dt, keeper.longestStepS(t), endS - t);
      dt = Math.max(dt, 1e-4);
      plant.step(dt);
      sensors.follow(plant, dt);
      truth.follow(plant, dt, ran);
      if (plant.timeS >= sampleS - 1e-6) {
        report(sampleS, sink);
        const slow = plant.condition.slowS;
        sampleS += slow > 0 ? slow : reporter.intervalS();
      }
    }
    truth.finish(plant);
  };
  const report = (timeS: number, sink: (row: Row) => void): void => {
    const row = reporter.row(timeS, sensors.pressurePaGauge(plant), sensors.currentA(plant));
    if (row === null || plant.condition.silent) return;
    row.timeS += plant.condition.clockShiftS;
    sink(row);
  };
  return {
    plant,
    run,
    bucket: () => keeper.result,
    truth: () => ({
      faults: scenario.faults.map((f) => f.name),
      onset: onsetOf(scenario),
      days: truth.days,
      runs: truth.runs,
    }),
  };
}

function onsetOf(scenario: Scenario): string | null {
  const first = scenario.faults.map((f) => f.onsetDay).sort((a, b) => a - b)[0];
  if (first === undefined) return null;
  return new Date((scenario.startS + first * DAY_S) * 1000).toISOString();
}

/** A cistern that empties by itself is filled now and then. */
function refill(plant: Plant, nextS: number): number {
  const { refillM3, refillEveryS } = plant.condition;
  if (refillM3 === 0) return plant.timeS;
  if (plant.timeS < nextS) return nextS;
  plant.taps.add([
    {
      startS: plant.timeS + 0.001,
      flowM3PerS: 1.9e-4,
      endsBy: 'volume',
      amount: refillM3,
      what: 'cistern',
    },
  ]);
  return plant.timeS + refillEveryS;
}
