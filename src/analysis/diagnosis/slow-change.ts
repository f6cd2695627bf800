import { type Baseline, together } from './baseline.ts';
import {
  type Cusum,
  type CusumSide,
  createCusum,
  decisionInterval,
  shiftOf,
  stepCusum,
} from './cusum.ts';
import { MEASURE, type Measure, type Sample } from './measures.ts';

/**
 * Change over weeks: one CUSUM a measure over its value of each day, or of the days that together
 * have runs enough for one, against the baseline.
 */
export interface SlowChange {
  day: number;
  watched: Watched[];
}

interface Watched {
  /** What runs have shown since the last value, and the day of the first of them. */
  runs: number[];
  firstDay: number;
  cusum: Cusum;
  /**
   * Where the last values of each side stand since it was zero, whole, where the CUSUM bounds each:
   * what creeps stands where it has come to.
   */
  latest: { high: number; low: number };
  /** What one value differs by from the next. */
  passing: number;
  /** Values in a row that have shown less than half of the change signalled. */
  back: number;
}

interface Errors {
  /** What all days have in common, known no better: floor of weeks and error of the baseline. */
  steady: number;
  /** What one day differs by from the next. */
  passing: number;
}

export interface SlowShift {
  value: number;
  std: number;
  sinceS: number;
}

/**
 * Measures where weeks count, with what they differ by on a sound well: steadily over weeks, and
 * from one day to the next beyond the scatter of runs. Both from rehearsed sound wells of 60 days;
 * all but delivery taken at about twice what those showed, for they were few.
 */
const WATCHED: [Measure, steady: number, passing: number][] = [
  ['delivery', 0.021, 0.014],
  ['amps', 0.005, 0.003],
  ['cut-in', 1000, 700],
  ['cut-out', 1000, 700],
  ['steepest', 0.1, 0.1],
];

const DAY_S = 86_400;
/** Fewer runs make no value; more than these of a day add nothing. */
const LEAST_RUNS = { middle: 3, mean: 3, lower: 3, upper: 6, highest: 12, scatter: 6 } as const;
const MOST_RUNS = 40;
/** Days further apart are not one value. */
const TOGETHER_DAYS = 14;
/** One false signal in so many well-years, over all measures. */
const WISHED_YEARS = 20;
const WISHED_DAYS = WISHED_YEARS * 365 * WATCHED.length;
const BACK_DAYS = 3;
/** Weight of the newest value in where the last ones stand (EWMA; its variance is L / (2 - L)). */
const LATEST = 0.25;
/** One strange day must not signal by itself; a great change is seen in the last runs anyway. */
const ONE_DAY = 3;

const createWatched = (): Watched => ({
  runs: [],
  firstDay: NaN,
  cusum: createCusum(),
  latest: { high: 0, low: 0 },
  passing: NaN,
  back: 0,
});

export function createSlowChange(): SlowChange {
  return {
    day: NaN,
    watched: WATCHED.map(createWatched),
  };
}

/** Takes a run. Before the baseline stands there is nothing to compare it with. */
export function stepSlowChange(
  state: SlowChange,
  sample: Sample,
  startS: number,
  base: Baseline,
): void {
  if (!base.learnt) return;
  const day = Math.floor(startS / DAY_S);
  if (day !== state.day) {
    endDay(state, base);
    state.day = day;
  }
  WATCHED.forEach(([measure], i) => {
    const value = sample[measure];
    const one = state.watched[i]!;
    if (Number.isNaN(value) || one.runs.length >= MOST_RUNS) return;
    if (day - one.firstDay > TOGETHER_DAYS) one.runs = [];
    if (one.runs.length === 0) one.firstDay = day;
    one.runs.push(value);
  });
}

function endDay({ watched }: SlowChange, base: Baseline): void {
  WATCHED.forEach(([measure], i) => {
    const one = watched[i]!;
    const { runs } = one;
    const { by } = MEASURE[measure];
    if (runs.length < LEAST_RUNS[by]) return;
    one.runs = [];
    const errors = errorsOf(i, base, runs.length);
    const off = together(runs, by) - base.centre[measure];
    if (Number.isNaN(errors.passing + off)) return;
    one.passing = errors.passing;
    if (stepOne(one, off, referenceOf(errors), one.firstDay * DAY_S)) watched[i] = createWatched();
  });
}

/** Takes a value; whether what had been signalled has gone back since. */
function stepOne(one: Watched, off: number, k: number, fromS: number): boolean {
  const { cusum, latest } = one;
  const z = off / one.passing;
  const bounded = Math.min(Math.max(z, -ONE_DAY), ONE_DAY);
  const signalled = signalOf(cusum, k);
  const shift = signalled === null ? NaN : shiftOf(signalled, k);
  const towards = signalled === cusum.high ? z : -z;
  one.back = towards < shift / 2 ? one.back + 1 : 0;
  stepCusum(cusum, bounded, k, fromS);
  for (const side of ['high', 'low'] as const) {
    const { steps } = cusum[side];
    latest[side] += weightOf(steps) * (off - latest[side]);
  }
  return one.back >= BACK_DAYS;
}

/** Weight of the newest of so many values: of the first ones their mean. */
const weightOf = (steps: number): number => (steps === 0 ? 0 : Math.max(1 / steps, LATEST));

/** Runs of a usual day; the scatter of a middle is 1.25 that of a mean. */
const USUAL_RUNS = 10;
const LEARNT_RUNS = 30;

function errorsOf(i: number, base: Baseline, runs = USUAL_RUNS): Errors {
  const [measure, steady, passing] = WATCHED[i]!;
  const scatter = 1.25 * base.scatter[measure];
  return {
    steady: Math.hypot(steady, scatter / Math.sqrt(LEARNT_RUNS)),
    passing: Math.hypot(passing, scatter / Math.sqrt(runs)),
  };
}

/** A baseline that is off, or weeks that differ, must not add up: k is no less than both. */
function referenceOf({ steady, passing }: Errors): number {
  return Math.min(Math.max(0.5, steady / passing), 2);
}

function signalOf({ high, low }: Cusum, k: number): CusumSide | null {
  const h = decisionInterval(k, WISHED_DAYS);
  const most = high.sum > low.sum ? high : low;
  return most.sum > h ? most : null;
}

/**
 * Since when there is trouble: changes of weeks know only the day, `dayS` its beginning; runs that
 * spoke of trouble on that day already know better.
 */
export const sinceOf = ({ runsS, dayS }: { runsS: number; dayS: number }): number =>
  runsS < dayS + DAY_S ? runsS : dayS;

/** Changes that have been signalled and last, by measure, each from the day it began. */
export function slowShifts(state: SlowChange, base: Baseline): Partial<Record<Measure, SlowShift>> {
  const out: Partial<Record<Measure, SlowShift>> = {};
  WATCHED.forEach(([measure], i) => {
    const { cusum, latest, passing } = state.watched[i]!;
    const errors = errorsOf(i, base);
    const k = referenceOf(errors);
    const side = signalOf(cusum, k);
    if (side === null) return;
    const value = side === cusum.high ? latest.high : latest.low;
    const share = Math.max(1 / side.steps, LATEST / (2 - LATEST));
    const std = Math.hypot(errors.steady, passing * Math.sqrt(share));
    out[measure] = { value, std, sinceS: side.sinceS };
  });
  return out;
}
