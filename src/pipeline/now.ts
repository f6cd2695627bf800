import type { DayRecord } from '../analysis/estimation/days.ts';
import { deliveryAt, deliveryStdAt, onCurve } from '../analysis/estimation/delivery-curve.ts';
import type { EstimationState } from '../analysis/estimation/state.ts';
import { dayWater, type EpochScale, scales } from '../analysis/estimation/summary.ts';
import { runAt } from '../analysis/estimation/tables.ts';
import { pumpIsOn } from '../analysis/runs/tracker.ts';
import { instant } from '../base/instant.ts';
import type { WellNow } from '../model/well-now.ts';
import { findingEntries } from './finding-entries.ts';
import type { Pipeline } from './pipeline.ts';
import { dayEntry } from './result.ts';
import { samplingOf } from './sampling-of.ts';

/** A day is closed this long after its midnight (design of the study). */
export const DAY_CLOSES_S = 3600;
/** What a run in hand has pumped is known by its time alone: relative standard error. */
const IN_HAND = 0.15;
/** A volume by the gas model is off by this, relative, even where the sensor is quiet. */
const GAS = 0.001;
/** Flow is smoothed over this, s. */
const SMOOTHED_S = 12;

const NOTHING_YET =
  'no usable reading of pressure or current has come yet, or what came waits to be put in order';

/** What the readings analysed so far say of now; silence and tests are for who has a clock. */
export type Present = Omit<WellNow, 'lastReading' | 'silence' | 'replay' | 'clocks' | 'test'>;

/** How things stand at the last row. Changes nothing: the pipeline goes on as if never asked. */
export function presentState(pipeline: Pipeline): Present {
  const { well, lastS } = pipeline;
  const unknown: Present['unknown'] = [];
  const nothing: Present = {
    schema: 1,
    well: well.id,
    at: null,
    pressurePaGauge: null,
    currentA: null,
    pump: { on: null, since: null },
    flowM3PerS: null,
    flowM3PerSStd: null,
    day: null,
    findings: [],
    unknown,
  };
  if (Number.isNaN(lastS)) {
    unknown.push({ field: 'at', because: NOTHING_YET });
    return nothing;
  }
  const { state } = pipeline.estimation;
  const { scales: list } = scales(state, well, pipeline.tracker.pressureNoise.std);
  return {
    ...nothing,
    at: instant(lastS),
    pressurePaGauge: freshPressure(pipeline, unknown),
    currentA: freshCurrent(pipeline, unknown),
    pump: pumpNow(pipeline, unknown),
    ...flowNow(pipeline, list.at(-1)!, unknown),
    day: dayNow(pipeline, list),
    findings: findingEntries(pipeline, 'open'),
  };
}

/** A longer silence of a channel than this is a gap, as the device reports so far [s]. */
const gapAfterS = (pipeline: Pipeline, name: 'pressure' | 'current'): number =>
  samplingOf(pipeline, name)?.gapAfterS ?? NaN;

/** The longest silence that is usual of pressure and current [s]; NaN before any of them. */
export function usualSilenceS(pipeline: Pipeline): number {
  const both = (['pressure', 'current'] as const).map((name) => gapAfterS(pipeline, name));
  return Math.max(...both.filter((s) => !Number.isNaN(s)), -Infinity);
}

/** Time between pressure readings at rest as learnt [s]; NaN until then, 0 for one on change. */
export function restIntervalS(pipeline: Pipeline): number {
  const own = samplingOf(pipeline, 'pressure');
  return own?.policy === 'on-change' ? 0 : (own?.restS ?? NaN);
}

function freshPressure(pipeline: Pipeline, unknown: Present['unknown']): number | null {
  const { gaugePa, gaugeS } = pipeline.plain;
  if (pipeline.lastS - gaugeS <= gapAfterS(pipeline, 'pressure')) return gaugePa;
  const because = 'no believable pressure has come for longer than is usual';
  unknown.push({ field: 'pressurePaGauge', because });
  return null;
}

function freshCurrent(pipeline: Pipeline, unknown: Present['unknown']): number | null {
  const { lastA, lastCurrentS } = pipeline.estimation.state;
  if (pipeline.lastS - lastCurrentS <= gapAfterS(pipeline, 'current')) return lastA;
  const because = 'no believable current has come for longer than is usual';
  unknown.push({ field: 'currentA', because });
  return null;
}

function pumpNow(pipeline: Pipeline, unknown: Present['unknown']): Present['pump'] {
  const { tracker, lastS } = pipeline;
  const blind =
    !(lastS - tracker.lastCurrentS <= gapAfterS(pipeline, 'current')) &&
    !(lastS - pipeline.plain.gaugeS <= gapAfterS(pipeline, 'pressure'));
  const unlearnt = Number.isNaN(tracker.threshold.thresholdA) && tracker.open === null;
  if (blind || (unlearnt && Number.isNaN(pipeline.estimation.state.lastStopS))) {
    const because = blind
      ? 'neither current nor pressure comes'
      : 'no run has been seen yet that tells on from off';
    unknown.push({ field: 'pump.on', because });
    return { on: null, since: null };
  }
  const on = pumpIsOn(tracker);
  const { open } = tracker;
  if (on) return { on, since: open?.begun === 'seen' ? instant(open.startToS) : null };
  const offS = open === null ? tracker.lastStopS : tracker.firstOffS;
  return { on, since: Number.isFinite(offS) ? instant(offS) : null };
}

/** Water out of the tank now: what the pump gives, less what the tank gains. */
function flowNow(
  pipeline: Pipeline,
  scale: EpochScale,
  unknown: Present['unknown'],
): Pick<Present, 'flowM3PerS' | 'flowM3PerSStd'> {
  const { estimation, tracker, lastS } = pipeline;
  const { state, known } = estimation;
  const fresh = lastS - state.lastS <= gapAfterS(pipeline, 'pressure');
  const relative = scale.basis === 'relative';
  if (relative || !fresh || Number.isNaN(state.lastVolume)) {
    const because = relative
      ? 'neither a bucket test nor the size of the tank gives the scale of volumes'
      : 'it takes two pressures that follow each other';
    unknown.push({ field: 'flowM3PerS', because });
    return { flowM3PerS: null, flowM3PerSStd: null };
  }
  const on = pumpIsOn(tracker);
  const x = onCurve((pipeline.plain.gaugePa - known.band.middlePaGauge) / known.band.halfPa);
  const given = on ? Math.max(deliveryAt(state.delivery, known.nominal.bend, x), 0) : 0;
  const givenStd = on ? deliveryStdAt(state.delivery, x) : 0;
  const noise = on ? tracker.runningNoise.std : tracker.pressureNoise.std;
  const relNoise = Math.hypot((noise * state.lastVolume) / known.referencePa, GAS);
  const changeStd = (relNoise * state.lastVolume * 60) / SMOOTHED_S;
  const toM3PerS = (state.tankFactor * scale.unit) / 60;
  // Noise may take it below zero: held there, its mean would say that water runs all day.
  const flow = given - state.netPerMin;
  const std = Math.hypot(givenStd, changeStd, scale.relStd * flow);
  return { flowM3PerS: flow * toM3PerS, flowM3PerSStd: std * toM3PerS };
}

function dayNow(pipeline: Pipeline, list: EpochScale[]): Present['day'] {
  const { state } = pipeline.estimation;
  const last = state.days.at(-1);
  if (last === undefined) return null;
  const day = withWhatWaits(pipeline, last);
  const scale = list[day.epoch]!;
  const [water] = dayWater({ ...state, days: [day] }, list, firstRunOf(state, day));
  const open = pipeline.lastS < day.endS + DAY_CLOSES_S;
  return { ...dayEntry(pipeline, day, water!, scale), open };
}

/** The day with what the book has not yet: the tank since the last run, and the run in hand. */
function withWhatWaits(pipeline: Pipeline, day: DayRecord): DayRecord {
  const { state } = pipeline.estimation;
  const index = state.days.length - 1;
  const now = { ...day };
  for (const part of state.waiting)
    if (part.day === index) now.change += part.change * state.tankFactor;
  const run = state.open ?? state.pending;
  if (run === null) return now;
  const untilS = state.open === null ? run.stopToS : pipeline.lastS;
  const ranS = Math.max(untilS - Math.max(run.startToS, day.startS), 0);
  const pumped = (state.delivery.b0 * state.tankFactor * ranS) / 60;
  now.weakPumped += pumped;
  now.weakStd = Math.hypot(now.weakStd, IN_HAND * pumped);
  now.runS += ranS;
  if (run.begun === 'seen' && run.startToS >= day.startS) now.starts += 1;
  return now;
}

function firstRunOf(state: EstimationState, day: DayRecord): number {
  let row = state.runs.rows;
  while (row > 0 && runAt(state.runs, row - 1).stopS >= day.startS) row -= 1;
  return row;
}
