import { median } from '../../base/median.ts';
import type { CaseRecord } from '../../exam/case-record.ts';
import { SymptomWatch } from '../../exam/first-symptom.ts';
import { FixedRules } from '../../exam/fixed-rules.ts';
import type { AlsoTrue, TrueFault } from '../../exam/outcome.ts';
import { SHOWS_FROM } from '../../exam/shows-from.ts';
import { knowable } from '../../model/knowable.ts';
import { CHANNELS, type Channel } from '../../model/reading.ts';
import type { Study } from '../../model/study.ts';
import type { Well } from '../../model/well.ts';
import { Pipeline } from '../../pipeline/pipeline.ts';
import { studyOf } from '../../pipeline/result.ts';
import type { Trace } from '../../simulation/household/trace.ts';
import type { Plant } from '../../simulation/plant/plant.ts';
import { type Rehearsal, rehearse } from '../../simulation/rehearse.ts';
import type { Row } from '../../simulation/sensing/row.ts';
import { wellFileText } from '../../simulation/well-file-text.ts';
import { parseWellFile } from '../../wellfile/parse.ts';
import { type ExamCase, idOf } from './case-id.ts';
import { type Scene, sceneOf } from './scene.ts';

const BATCH = 8192;
const DAY_S = 86_400;
/** By then a bucket test of the second day is written down. */
const WELL_FILE_AFTER_S = 3 * DAY_S;
/** A silence this long is a gap, whatever the device meant by it. */
const GAP_S = 900;
/** How long after a gap it may be told, s. */
const GAP_TOLD_S = 7200;
/** A run that holds fewer readings than this cannot be followed. */
const READINGS_A_RUN = 4;

const LEAST_BUCKET_M3 = 5e-4;

const VALUE: Partial<Record<Channel, (row: Row) => number | null>> = {
  pressure: (row) => row.pressurePaGauge,
  current: (row) => row.currentA,
  'current-peak': (row) => row.currentPeakA,
  'start-time': (row) => row.startTimeS,
  mains: (row) => row.mainsV,
  'air-temperature': (row) => row.airK,
};

/** Readings on their way from the device to whoever studies them. */
class Stream {
  readonly #channels: { number: number; value: (row: Row) => number | null }[];
  readonly #batch = {
    count: 0,
    timeS: new Float64Array(BATCH),
    channel: new Uint8Array(BATCH),
    value: new Float64Array(BATCH),
  };
  #pipeline: Pipeline | null = null;
  #rules: FixedRules | null = null;
  #waiting: Row[] = [];

  constructor(channels: readonly Channel[]) {
    this.#channels = channels.map((channel) => ({
      number: CHANNELS.indexOf(channel),
      value: VALUE[channel]!,
    }));
  }

  /** From here on readings are studied; what has waited goes first. */
  begin(well: Well): { pipeline: Pipeline; rules: FixedRules } {
    const pipeline = new Pipeline(well);
    const rules = new FixedRules(well);
    this.#pipeline = pipeline;
    this.#rules = rules;
    for (const row of this.#waiting) this.#pass(row);
    this.#waiting = [];
    return { pipeline, rules };
  }

  take(row: Row): void {
    if (this.#pipeline === null) this.#waiting.push(row);
    else this.#pass(row);
  }

  #pass(row: Row): void {
    for (const { number, value } of this.#channels) {
      const reading = value(row);
      if (reading !== null) this.#add(row.timeS, number, reading);
    }
    this.#rules!.step(row.timeS, row.pressurePaGauge ?? Number.NaN, row.currentA ?? Number.NaN);
  }

  #add(timeS: number, channel: number, value: number): void {
    const batch = this.#batch;
    const i = batch.count++;
    batch.timeS[i] = timeS;
    batch.channel[i] = channel;
    batch.value[i] = value;
    if (batch.count === BATCH) this.flush();
  }

  flush(): void {
    this.#pipeline!.take(this.#batch);
    this.#batch.count = 0;
  }
}

/** Silences in what arrived, by the device's clock set right. */
class GapWatch {
  readonly gaps: AlsoTrue[] = [];
  #lastS = Number.NaN;

  follow(timeS: number): void {
    if (timeS - this.#lastS > GAP_S)
      this.gaps.push({ fault: 'data-gap', fromS: this.#lastS, toS: timeS + GAP_TOLD_S });
    if (!(timeS <= this.#lastS)) this.#lastS = timeS;
  }
}

/** Runs one case: plant, device, study and fixed rules in one pass, nothing kept. */
export function runCase(one: ExamCase, trace: Trace | null): { record: CaseRecord; study: Study } {
  const scene = sceneOf(one, trace);
  const { scenario, way } = scene;
  const rehearsal = rehearse(scenario);
  const watches = scene.watched.map((fault) => new SymptomWatch(fault));
  const gaps = new GapWatch();
  const stream = new Stream(way.channels);
  const shortestRunS = scenario.system.card.hp <= SMALL_HP ? 60 : 120;
  const sink = (row: Row): void => {
    for (const watch of watches) watch.follow(momentOf(rehearsal.plant, shortestRunS));
    gaps.follow(row.timeS - rehearsal.plant.condition.clockShiftS);
    stream.take(row);
  };
  rehearsal.runUntil(scenario.startS + WELL_FILE_AFTER_S, sink);
  const { pipeline, rules } = stream.begin(wellOf(scene, rehearsal));
  rehearsal.run(sink);
  stream.flush();
  pipeline.end();
  const study = studyOf(pipeline, { setAside: [], told: [] });
  const baselineDays = soundDays(scene, rehearsal);
  const record: CaseRecord = {
    id: idOf(one),
    system: one.system,
    seed: one.seed,
    fromS: scenario.startS,
    untilS: rehearsal.endS,
    way,
    baselineDays,
    faults: watches.map((watch, k) => trueFault(scene, k, watch.seenS, baselineDays)),
    also: [...gaps.gaps, ...shortRuns(scene, rehearsal), ...lawns(scene)],
    findings: study.findings,
    rules: rules.said,
  };
  return { record, study };
}

/** Up to here a motor is made for runs of a minute, above for two (common practice). */
const SMALL_HP = 0.75;

function momentOf(plant: Plant, shortestRunS: number) {
  const { flows } = plant.tee;
  return {
    timeS: plant.timeS,
    running: plant.running,
    pressurePaGauge: plant.tee.pressurePa,
    usedM3PerS: flows.usedM3PerS,
    deliveredM3PerS:
      flows.usedM3PerS +
      flows.houseLeakM3PerS +
      flows.lineLeakM3PerS +
      flows.reliefM3PerS +
      flows.tankM3PerS,
    reliefM3PerS: flows.reliefM3PerS,
    gasShare: plant.gas,
    protectorOpen: plant.drive.protectorOpen,
    pressureStuck: plant.condition.pressureStuckAt === 'last',
    steadyUse: plant.condition.steadyUseM3PerS > 0,
    cutInPaGauge: plant.design.cutInPaGauge,
    cutOutPaGauge: plant.design.cutOutPaGauge,
    shortestRunS,
  };
}

function wellOf({ scenario }: Scene, rehearsal: Rehearsal): Well {
  const { system, seed, timeZone, reporting } = scenario;
  // Nobody writes down a bucket that stayed all but empty.
  const buckets = rehearsal.buckets().filter(({ volumeM3 }) => volumeM3 > LEAST_BUCKET_M3);
  const name = `Exam ${system.card.letter} ${seed}`;
  const text = wellFileText({ name, system, seed, timeZone, reporting, buckets, services: [] });
  const parsed = parseWellFile(text);
  if (parsed.ok) return parsed.well;
  throw new Error(`${name}: ${JSON.stringify(parsed.issues)}`);
}

/** How long the passing faults last at full severity, s. */
const PASSING_S: Record<string, (severity: number) => number> = {
  'power-out': (severity) => 5 * 3600 * severity,
  'data-gap': (severity) => 12 * 3600 * severity,
  'clock-jump': () => 6 * 3600,
};

/** A baseline is learnt in a week and thirty runs, whichever is later. */
const LEARNT_DAYS = 7;
const LEARNT_RUNS = 30;

/** Days that are enough to learn a baseline from before the first fault, or none. */
function soundDays({ scenario, watched, way }: Scene, rehearsal: Rehearsal): number {
  if (way.sickFromStart) return 0;
  const onsetS = Math.min(rehearsal.endS, ...watched.map((fault) => fault.onsetS));
  const days = (onsetS - scenario.startS) / 86_400;
  const { runs } = rehearsal.truth();
  const before = runs.filter(({ start }) => Date.parse(start) / 1000 < onsetS).length;
  return days >= LEARNT_DAYS && before >= LEARNT_RUNS ? days : 0;
}

function trueFault(
  { watched, way }: Scene,
  k: number,
  seenS: number | null,
  baselineDays: number,
): TrueFault {
  const { name, severity, onsetS } = watched[k]!;
  const passing = PASSING_S[name];
  const shows = severity >= (SHOWS_FROM[name] ?? 0);
  const { level, group } = knowable(name, {
    channels: way.channels,
    runIntervalS: way.runIntervalS,
    restIntervalS: way.restIntervalS,
    atSetTimes: way.policy !== 'on-change',
    baselineDays,
    test: null,
  });
  return {
    name,
    severity,
    onsetS,
    endS: passing === undefined ? null : onsetS + passing(severity),
    seenS,
    level: shows ? level : 'not-judgeable',
    group: shows ? [...group] : [],
  };
}

/** A watering may be told until so long after it, s. */
const WATERED_S = 12 * 3600;

/** In a sick well heavy use is true while a lawn is watered; a sound one must not be told of it. */
function lawns({ scenario: { system, startS, days, faults } }: Scene): AlsoTrue[] {
  const plan = system.household.irrigation;
  if (plan === null || faults.length === 0) return [];
  return Array.from({ length: Math.ceil(days) }, (_, k) => startS + k * DAY_S)
    .filter((dayS) => {
      const date = new Date(dayS * 1000);
      const dayOfYear = (dayS - Date.UTC(date.getUTCFullYear(), 0, 1) / 1000) / DAY_S;
      return (
        dayOfYear >= plan.fromDayOfYear - 1 &&
        dayOfYear <= plan.toDayOfYear + 1 &&
        plan.weekdays.includes(date.getUTCDay())
      );
    })
    .map((dayS) => ({
      fault: 'heavy-use' as const,
      fromS: dayS + plan.startHour * 3600,
      toS: dayS + plan.startHour * 3600 + WATERED_S,
    }));
}

/** Runs too short for the readings are a truth of their own. */
function shortRuns({ scenario, way }: Scene, rehearsal: Rehearsal): AlsoTrue[] {
  const lengths = rehearsal
    .truth()
    .runs.filter((run) => run.stop !== null)
    .map((run) => (Date.parse(run.stop!) - Date.parse(run.start)) / 1000);
  if (!(median(lengths) < READINGS_A_RUN * way.runIntervalS)) return [];
  const { startS } = scenario;
  return [{ fault: 'sampling-too-slow', fromS: startS, toS: rehearsal.endS }];
}
