import { localDate, startOfNextLocalDayS, utcOffsetS } from '../base/zone.ts';
import { DAY_S, GALLON_M3 } from './constants.ts';
import { sound } from './faults/condition.ts';
import { applyFaults, growthDaysOf } from './faults/faults.ts';
import { drawsOfDay } from './household/household.ts';
import { Taps } from './household/taps.ts';
import { BucketKeeper, type BucketResult } from './keeper.ts';
import { Plant } from './plant/plant.ts';
import { createRandom } from './random.ts';
import type { Scenario } from './scenario.ts';
import { Delivery } from './sensing/delivery.ts';
import { Reporter } from './sensing/reporting.ts';
import type { Row } from './sensing/row.ts';
import { Sensors, usualSensing } from './sensing/sensors.ts';
import { type TankVisit, tankVisits } from './tank-visit.ts';
import { shutHouse, TestKeeper, type TestResult } from './test-keeper.ts';
import { type Truth, TruthKeeper } from './truth.ts';

/** What a tank without air gives between two pressures is no bucket: nobody writes it down. */
const LEAST_BUCKET_M3 = 0.25 * GALLON_M3;

export interface Rehearsal {
  readonly plant: Plant;
  /** The local midnight at which the log ends, Unix s. */
  readonly endS: number;
  /** Moves on to a true time, Unix s, and gives each row that arrives to `sink`. */
  runUntil(untilS: number, sink: (row: Row) => void): void;
  /** Gives what the device still kept, and closes the books; nothing may be run after it. */
  finish(sink: (row: Row) => void): void;
  /** Makes the whole log. */
  run(sink: (row: Row) => void): void;
  /** The service asks for a reading at least every `intervalS`, for `forS` from now. */
  please(ask: { intervalS: number; forS: number }): void;
  truth(): Truth;
  buckets(): BucketResult[];
  tests(): TestResult[];
}

/** Conditions are looked at this often; faults that come and go move no faster. */
const CONDITION_S = 20;
/** Longest step at rest, s: the gas must be followed while it settles. */
const REST_STEP_S = 5;
/** The keeper begins a bucket test at twenty past two in the afternoon. */
const BUCKET_AT_S = 14 * 3600 + 20 * 60;
/** A time is reached when it is less than this away, s. */
const REACHED_S = 1e-6;

/** A rehearsal of a scenario: the plant, its sensors and its device, and what really happened. */
export function rehearse(scenario: Scenario): Rehearsal {
  const stage = new Stage(scenario);
  const endS = endOf(scenario);
  return {
    plant: stage.plant,
    endS,
    runUntil: (untilS, sink) => stage.runUntil(Math.min(untilS, endS), sink),
    finish: (sink) => stage.finish(sink),
    run: (sink) => {
      stage.runUntil(endS, sink);
      stage.finish(sink);
    },
    please: (ask) => stage.please(ask),
    truth: () => stage.told(),
    buckets: () => stage.buckets(),
    tests: () => stage.tests(),
  };
}

const instantOf = (startS: number, day: number) =>
  new Date((startS + day * DAY_S) * 1000).toISOString();

/** Days of the zone's calendar, of 23 and 25 hours where the clocks change. */
function endOf({ startS, days, timeZone }: Scenario): number {
  let endS = startS;
  for (let day = 0; day < days; day++) endS = startOfNextLocalDayS(timeZone, endS + 1);
  return endS;
}

class Stage {
  readonly plant: Plant;
  readonly #scenario: Scenario;
  readonly #taps = new Taps();
  readonly #sensors: Sensors;
  readonly #reporter: Reporter;
  readonly #delivery: Delivery;
  readonly #truth: TruthKeeper;
  readonly #keepers: BucketKeeper[];
  readonly #testers: TestKeeper[];
  readonly #visits: TankVisit[];
  #sampleS: number;
  #conditionS: number;
  #midnightS: number;
  #refillS: number;
  #dayIndex = -1;
  /** What the service asked for, and until when. */
  #asked = { intervalS: Number.POSITIVE_INFINITY, untilS: Number.NEGATIVE_INFINITY };

  constructor(scenario: Scenario) {
    const { system, startS, seed, timeZone } = scenario;
    this.#scenario = scenario;
    const offsetS = utcOffsetS(timeZone, startS);
    this.plant = new Plant(system.design, this.#taps, { startS, offsetS, seed });
    const usual = usualSensing(system.sensing.pressureNoisePa, createRandom(seed, 'chain'));
    const chain = { ...usual, ...scenario.sensing };
    this.#sensors = new Sensors(chain, this.plant.tee.pressurePa, seed);
    this.#reporter = new Reporter(scenario.reporting);
    this.#delivery = new Delivery(scenario.troubles, startS, seed);
    this.#truth = new TruthKeeper(this.plant);
    this.#keepers = scenario.bucketDays.map(
      (day) => new BucketKeeper(startS + day * DAY_S + BUCKET_AT_S),
    );
    this.#testers = (scenario.tests ?? []).map((asked) => new TestKeeper(asked));
    this.#visits = tankVisits(scenario.faults, startS);
    this.#sampleS = startS;
    this.#conditionS = startS;
    this.#midnightS = startS;
    this.#refillS = startS;
  }

  runUntil(untilS: number, sink: (row: Row) => void): void {
    const { plant } = this;
    while (plant.timeS < untilS - REACHED_S) {
      this.#beforeStep();
      if (plant.timeS >= this.#sampleS - REACHED_S) this.#sample(sink);
      const ran = plant.running;
      const dtS = this.#stepS(untilS);
      plant.step(dtS);
      this.#sensors.follow(plant, dtS);
      this.#truth.follow(plant, dtS, ran);
      if (plant.timeS >= this.#midnightS - REACHED_S) {
        this.#truth.closeDay(plant, localDate(this.#scenario.timeZone, this.#midnightS - 3600));
      }
    }
  }

  /** What begins now: a day, a fault, a keeper at work. */
  #beforeStep(): void {
    const { plant } = this;
    const { system, faults, startS, seed, timeZone } = this.#scenario;
    const t = plant.timeS;
    if (t >= this.#midnightS - REACHED_S) {
      const midnightS = this.#midnightS;
      this.#dayIndex++;
      const at = {
        seed,
        dayIndex: this.#dayIndex,
        midnightS,
        offsetS: utcOffsetS(timeZone, t + 1),
      };
      this.#taps.add(drawsOfDay(system.household, at));
      this.#midnightS = startOfNextLocalDayS(timeZone, midnightS + 1);
    }
    if (t >= this.#conditionS - REACHED_S) {
      plant.condition = sound();
      applyFaults(plant.condition, faults, { design: system.design, startS, timeS: t });
      this.#conditionS += CONDITION_S;
      this.#refill();
    }
    for (const keeper of this.#keepers) keeper.act(plant);
    for (const tester of this.#testers) tester.act(plant);
    if (this.#testers.some(({ houseShut }) => houseShut)) shutHouse(plant.condition);
    for (const visit of this.#visits) visit.act(plant);
  }

  #stepS(untilS: number): number {
    const { plant } = this;
    const t = plant.timeS;
    let dtS = plant.longestStepS(REST_STEP_S);
    for (const keeper of this.#keepers) dtS = Math.min(dtS, keeper.longestStepS(t));
    for (const tester of this.#testers) dtS = Math.min(dtS, tester.longestStepS(t));
    for (const visit of this.#visits) dtS = Math.min(dtS, visit.longestStepS(t));
    const next = Math.min(this.#sampleS, this.#conditionS, this.#midnightS, untilS);
    return Math.max(Math.min(dtS, next - t), 1e-4);
  }

  #sample(sink: (row: Row) => void): void {
    const { plant } = this;
    const atS = this.#sampleS;
    const row = this.#sensors.row(plant, atS + plant.condition.clockShiftS);
    const slow = plant.condition.slowS;
    const asked = atS < this.#asked.untilS;
    const send = this.#reporter.keep(row, row.pressurePaGauge!, row.currentA!, asked);
    const ownS = this.#reporter.intervalS();
    if (slow > 0) this.#sampleS += slow;
    else this.#sampleS += asked ? Math.min(ownS, this.#asked.intervalS) : ownS;
    if (!send || plant.condition.silent) return;
    for (const arrived of this.#delivery.push(row, atS)) sink(arrived);
  }

  please({ intervalS, forS }: { intervalS: number; forS: number }): void {
    const t = this.plant.timeS;
    this.#asked = { intervalS, untilS: t + forS };
    this.#sampleS = Math.min(this.#sampleS, t + intervalS);
  }

  /** A cistern that empties by itself is filled now and then. */
  #refill(): void {
    const { refillM3, refillEveryS } = this.plant.condition;
    const t = this.plant.timeS;
    if (refillM3 === 0) {
      this.#refillS = t;
      return;
    }
    if (t < this.#refillS) return;
    this.#refillS = t + refillEveryS;
    const draw = { startS: t, flowM3PerS: 0.05 * GALLON_M3, amount: refillM3, what: 'cistern' };
    this.#taps.add([{ ...draw, endsBy: 'volume' }]);
  }

  finish(sink: (row: Row) => void): void {
    for (const row of this.#delivery.flush()) sink(row);
    this.#truth.finish(this.plant);
  }

  buckets(): BucketResult[] {
    return this.#keepers.flatMap(({ result }) =>
      result === null || result.volumeM3 < LEAST_BUCKET_M3 ? [] : [result],
    );
  }

  tests(): TestResult[] {
    return this.#testers.flatMap(({ results }) => results);
  }

  told(): Truth {
    const { faults, startS } = this.#scenario;
    const first = Math.min(...faults.map((f) => f.onsetDay));
    return {
      faults: faults.map((f) => f.name),
      onset: faults.length === 0 ? null : instantOf(startS, first),
      each: faults.map((fault) => ({
        name: fault.name,
        form: fault.form ?? null,
        severity: fault.severity ?? 1,
        onset: instantOf(startS, fault.onsetDay),
        full: instantOf(startS, fault.onsetDay + growthDaysOf(fault)),
        mended: fault.mendedDay === undefined ? null : instantOf(startS, fault.mendedDay),
      })),
      days: this.#truth.days,
      runs: this.#truth.runs,
      flows: this.#truth.flows,
    };
  }
}
