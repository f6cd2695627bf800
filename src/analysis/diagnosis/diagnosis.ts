import type { FaultName } from '../../model/faults.ts';
import type { Equipment } from '../../model/well.ts';
import { HORSEPOWER_W } from '../../units/table.ts';
import { deliveryAt, onCurve } from '../estimation/delivery-curve.ts';
import type { SettledRun } from '../estimation/state.ts';
import { type Baseline, createBaseline, learnBaseline, together } from './baseline.ts';
import type { Circumstances } from './hypothesis.ts';
import { beneathUse, withoutUse } from './known-use.ts';
import { isNever, MEASURE, MEASURES, type Measure, type Sample, sampleOf } from './measures.ts';
import { type Deviations, type Verdict, weigh } from './odds.ts';
import { createRestFacts, type RestFacts, stepRestFacts } from './rest-facts.ts';
import { createRunFacts, type RunFacts, stepRunFacts } from './run-facts.ts';
import { type RunRecord, runRecord } from './run-record.ts';
import { createSlowChange, type SlowChange, slowShifts } from './slow-change.ts';
import {
  breakStretch,
  createStillness,
  hearStillness,
  type Stillness,
  stepStillness,
} from './stillness.ts';
import { createSteps, followSteps, type Steps, suddenness } from './suddenness.ts';
import { SUSPECT, TOLD } from './thresholds.ts';

/** What is watched of a well, run by run, to say what is wrong with it. */
export interface WatchState {
  base: Baseline;
  run: RunFacts | null;
  rest: RestFacts | null;
  before: RestFacts | null;
  /** A run that is over and not yet in the book. */
  waiting: Waiting | null;
  loss: Loss;
  /** Samples of the last runs, oldest first. */
  recent: Sample[];
  /** Runs of the last six hours: start, stop. */
  ran: { startS: number; stopS: number }[];
  slow: SlowChange;
  steps: Steps;
  still: Stillness;
  /** The last run was seen by pressure alone, where amps come: older runs say nothing of it. */
  dim: boolean;
  /** The highest of the last amps told as peaks before a run is found. */
  peak: { timeS: number; a: number };
  /** Time between readings over the length of a run, smoothed over runs. */
  coarse: number;
  /** For how long runs have spoken of trouble, hours. */
  troubledH: number;
  /** When the last run began. */
  startS: number;
  /** Months since the middle of winter at the last run, 0 to 11; NaN where not known. */
  monthsFromWinter: number;
  /** Delivery that runs are held against [reference units a minute], at mid band and its slope. */
  delivery: { b0: number; b1: number };
}

interface Waiting {
  facts: RunFacts;
  before: RestFacts | null;
  loss: Loss;
  /** For how long water has not stood still, s. */
  flowingS: number;
}

interface Loss {
  rate: number;
}

const NO_LOSS: Loss = { rate: NaN };
const RECENT = 20;
/** A run is found within so long of its start, s. */
const PEAK_HELD_S = 15;
/** A motor that takes so much more for a moment has started again: its contacts broke. */
const AGAIN = 1.6;

export function createWatch(): WatchState {
  return {
    base: createBaseline(),
    run: null,
    rest: null,
    before: null,
    waiting: null,
    loss: { ...NO_LOSS },
    recent: [],
    ran: [],
    slow: createSlowChange(),
    steps: createSteps(),
    still: createStillness(),
    dim: false,
    peak: { timeS: NaN, a: 0 },
    coarse: NaN,
    troubledH: 0,
    startS: NaN,
    monthsFromWinter: NaN,
    delivery: { b0: NaN, b1: NaN },
  };
}

export function watchOpened(state: WatchState, startS: number, loss: Loss | null): void {
  state.before = state.rest;
  state.rest = null;
  breakStretch(state.still);
  state.loss = loss ?? { ...NO_LOSS };
  state.run = createRunFacts(startS, state.before?.lastPa ?? NaN);
  if (startS - state.peak.timeS < PEAK_HELD_S) state.run.peakA = state.peak.a;
}

export function watchClosed(state: WatchState, stopS: number): void {
  const { run, before, loss, still } = state;
  const flowingS = stopS - still.stillS;
  state.waiting = run === null ? null : { facts: run, before, loss, flowingS };
  state.rest = createRestFacts(stopS, run?.lastPa ?? NaN);
  state.run = null;
}

export interface WatchRow {
  timeS: number;
  gaugePa: number;
  x: number;
  volume: number;
  currentA: number;
  ampsTold: boolean;
  on: boolean;
  bend: number;
  /** Filled in here. */
  expectedPerMin: number;
}

/** Takes every row. */
export function watchRow(state: WatchState, row: WatchRow): void {
  if (!Number.isNaN(row.gaugePa)) hearStillness(state.still, row.timeS);
  if (state.run !== null && row.on) {
    row.expectedPerMin = deliveryAt(state.delivery, row.bend, onCurve(row.x));
    stepRunFacts(state.run, row);
  } else if (state.rest !== null && !row.on && !Number.isNaN(row.gaugePa)) {
    stepRestFacts(state.rest, row);
    stepStillness(state.still, row, state.delivery.b0);
  }
}

/** Whether the last run was clearly shorter than is usual here; true until that is known. */
export function runsAreShort({ base, recent }: WatchState): boolean {
  const usual = base.centre['run-length'];
  const last = recent.at(-1)?.['run-length'] ?? NaN;
  return Number.isNaN(usual) || Number.isNaN(last) || last < usual + Math.log(0.6);
}

/** The highest amps since the reading before, as the device tells them. */
export function watchPeak({ run, peak }: WatchState, timeS: number, peakA: number): void {
  if (run !== null) {
    if (timeS - run.startS > PEAK_HELD_S && peakA > AGAIN * run.lastA) run.startsAgain += 1;
    run.peakA = Math.max(run.peakA || 0, peakA);
  } else if (peakA > peak.a || timeS - peak.timeS > PEAK_HELD_S) {
    peak.a = peakA;
    peak.timeS = timeS;
  }
}

/** The device's own word on the last start. */
export function watchStartTime(state: WatchState, startTimeS: number): void {
  const facts = state.run ?? state.waiting?.facts ?? null;
  if (facts !== null) facts.startTimeS = startTimeS;
}

/** A run is in the book: its sample, or null where nothing was watched of it. */
export function watchSettled(
  state: WatchState,
  settled: SettledRun,
  delivery: { b0: number; b1: number },
  { nightDraws, knownUse, hasAmps }: { nightDraws: number; knownUse: boolean; hasAmps: boolean },
): RunRecord | null {
  const waiting = state.waiting ?? underWay(state, settled.row.stopS);
  state.waiting = null;
  if (!waiting) return null;
  const { facts, before, loss, flowingS } = waiting;
  if (knownUse) state.still.stillS = settled.row.stopS;
  state.startS = facts.startS;
  const record = runRecord(facts, settled, { before, after: state.rest }, loss, {
    nightDraws,
    duty: duty(state, settled.row, knownUse),
    flowingS: knownUse ? 0 : flowingS,
  });
  if (!state.base.learnt) state.delivery = { ...delivery };
  followCoarse(state, record);
  const sample = sampleOf(record, state.base.amps, state.delivery.b0, hasAmps);
  state.dim = record.byPressure && hasAmps;
  state.recent.push(knownUse ? withoutUse(sample) : sample);
  if (state.recent.length > RECENT) state.recent.shift();
  followSteps(state.steps, state.recent);
  return record;
}

/** A run that is in the book before it is over. */
function underWay({ run, before, loss, still }: WatchState, stopS: number): Waiting | null {
  return run && { facts: run, before, loss, flowingS: stopS - still.stillS };
}

function followCoarse(state: WatchState, { everyS, startS, stopS }: RunRecord): void {
  const now = Math.min(everyS / (stopS - startS), 1);
  if (Number.isNaN(now)) return;
  state.coarse = Number.isNaN(state.coarse) ? now : state.coarse + 0.1 * (now - state.coarse);
}

const DUTY_S = 6 * 3600;

/** Share of the last hours in which the pump ran, but for uses that are known. */
function duty(
  { ran }: WatchState,
  { startS, stopS }: { startS: number; stopS: number },
  knownUse: boolean,
): number {
  if (!knownUse) ran.push({ startS, stopS });
  while (ran.length > 0 && ran[0]!.stopS < stopS - DUTY_S) ran.shift();
  const s = ran.reduce((sum, r) => sum + r.stopS - Math.max(r.startS, stopS - DUTY_S), 0);
  return s / DUTY_S;
}

/** A run that differs by nothing teaches what is usual, be the well sound or `sick` all along. */
export function learnUsual(state: WatchState, record: RunRecord, sick: boolean): void {
  learnBaseline(state.base, record, state.recent.at(-1)!, sick);
}

/** Runs that are made one to be compared, by how. */
const LEAST = { middle: 3, mean: 3, lower: 3, upper: 7, highest: 8, scatter: 6 } as const;
/** Until the baseline is learnt it is held this much less firmly. */
const PROVISIONAL = 1.6;
/** Delivery is known no better than this while the gas of the tank is still being learnt. */
const EARLY_DELIVERY = 0.12;

/** The ends of a run lie between readings, all of a device alike: this share of an interval. */
const ENDS = 0.25;

/** Usual runs must show the slope of the amps that was learnt from all of them, by this much. */
const LEANS = 0.5;

/** How far each measure stands from what is usual, over the last runs. */
function deviations(state: WatchState): Deviations {
  const { base, recent } = state;
  const out: Deviations = {};
  for (const m of MEASURES) {
    const { by, excess, floor, last } = MEASURE[m];
    const centre = base.centre[m];
    // How hard people draw takes days to show.
    if (Number.isNaN(centre) || (m === 'steepest' && !base.learnt)) continue;
    if (state.dim && Number.isNaN(recent.at(-1)![m])) continue;
    // A device that is silent while amps stay does not show how they lean.
    if (m === 'amps-slope' && !(centre > LEANS)) continue;
    const values = recent
      .map((s) => s[m])
      .filter((v) => !Number.isNaN(v))
      .slice(-last);
    // Of the last runs enough must speak, and not only old ones.
    const fresh = recent.slice(-2 * last).filter((s) => !Number.isNaN(s[m])).length;
    if (values.length < LEAST[by] || fresh < LEAST[by]) continue;
    const off = together(values, by) - centre;
    const value = excess ? Math.max(off, 0) : off;
    const chance = (1.25 * base.scatter[m]) / Math.sqrt(values.length);
    // What no sound run shows does not become usual by being seen often; of fewer runs one is more.
    const never = isNever(m);
    const few = never ? last / values.length : 1;
    const least = m === 'delivery' && !base.learnt ? EARLY_DELIVERY : floor * few;
    const own = by === 'highest' || by === 'scatter' || never ? 0 : chance;
    const ends = m === 'delivery' ? ENDS * (state.coarse || 0) : 0;
    const std = Math.hypot(least, own, ends) * (base.learnt || never ? 1 : PROVISIONAL);
    out[m] = { value, std, ...(never ? { runs: values.length } : {}) };
  }
  bringIn(out, state);
  if (out.delivery !== undefined) {
    // The rough measure of the same thing would count it twice.
    delete out.fill;
  }
  if (out.delivery !== undefined) {
    const apart = (state.startS - base.fromS) / YEAR_S;
    out.delivery.std = Math.hypot(out.delivery.std, SEASONS * (1 - Math.cos(2 * Math.PI * apart)));
  }
  const sudden = suddenness(state.steps, out);
  if (sudden !== undefined) out.sudden = sudden;
  return out;
}

const YEAR_S = 365.25 * 86_400;
/** The water table rises and falls with the seasons, and delivery with it by about as much. */
const SEASONS = 0.025;

/** The last runs stand against a change of weeks when they are this many of their errors off it. */
const APART = 2;

/**
 * A change of weeks that the last runs agree with is no chance of these runs. Of the two the
 * clearer stands: its newest days, or the last runs where it still grows.
 */
function bringIn(out: Deviations, { slow, base }: WatchState): void {
  for (const [measure, shift] of Object.entries(slowShifts(slow, base))) {
    const last = out[measure as Measure];
    if (last === undefined || Math.abs(last.value - shift.value) > APART * last.std) continue;
    const clearer = Math.abs(shift.value) / shift.std > Math.abs(last.value) / last.std;
    out[measure as Measure] = clearer ? shift : { ...last, sinceS: shift.sinceS };
  }
}

/** Verdict on the well from its last runs. */
export function judge(
  state: WatchState,
  equipment: Equipment,
  middlePa: number,
  leaveOut?: ReadonlySet<FaultName>,
): { verdict: Verdict; seen: Deviations } {
  const seen = deviations(state);
  const here = circumstances(state, seen, equipment, middlePa);
  const verdict = weigh(seen, here, leaveOut);
  const isUse = verdict.faults[0]!.fault === 'heavy-use' && 1 - verdict.nothing >= TOLD;
  if (!isUse) return { verdict, seen };
  // People who draw harder do so in sick wells as well.
  const left = beneathUse(seen);
  const beneath = weigh(left, here, new Set([...(leaveOut ?? []), 'heavy-use']));
  const { fault, probability } = beneath.faults[0]!;
  const isClear = fault !== 'unknown-trouble' && probability >= SUSPECT;
  const isSick = 1 - beneath.nothing >= TOLD && isClear;
  return isSick ? { verdict: beneath, seen: left } : { verdict, seen };
}

const LEAST_RESTS = 4;

/** The middle one of the rests between the runs of the last hours, s. */
function usualRestS({ ran }: WatchState): number {
  const rests = ran.slice(1).map((run, k) => run.startS - ran[k]!.stopS);
  if (rests.length < LEAST_RESTS) return NaN;
  return rests.toSorted((a, b) => a - b)[rests.length >> 1]!;
}

/** Three quarters of a horsepower: up to here a motor wants runs of a minute, above of two. */
const SMALL_W = 0.76 * HORSEPOWER_W;

export function circumstances(
  state: WatchState,
  seen: Deviations,
  equipment: Equipment,
  middlePa: number,
): Circumstances {
  const now = Object.fromEntries(MEASURES.map((m) => [m, seen[m]?.value ?? NaN]));
  const lengths = state.recent.map((s) => s['run-length']).filter((v) => !Number.isNaN(v));
  return {
    troubledH: state.troubledH,
    runCapacitor: equipment.motor === '3-wire capacitor-run',
    shortestRunS: (equipment.powerW?.value ?? SMALL_W) <= SMALL_W ? 60 : 120,
    restS: usualRestS(state),
    runS: Math.exp(lengths.toSorted((a, b) => a - b)[lengths.length >> 2] ?? NaN),
    now: now as Record<Measure, number>,
    middlePa,
    monthsFromWinter: state.monthsFromWinter,
  };
}
