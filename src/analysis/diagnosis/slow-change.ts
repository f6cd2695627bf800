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

/** Change over weeks: one CUSUM a measure over its value of each day, against the baseline. */
export interface SlowChange {
  day: number;
  /** What the runs of the day showed, by watched measure. */
  today: number[][];
  watched: Watched[];
}

interface Watched {
  cusum: Cusum;
  /** Sums of what each side has seen since it was zero, whole, where the CUSUM bounds a day. */
  whole: { high: number; low: number };
  /** Days in a row that have shown less than half of the change signalled. */
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
/** A day with fewer runs says nothing; more than these add nothing. */
const LEAST_RUNS = { middle: 3, mean: 3, lower: 3, upper: 6, highest: 12, scatter: 6 } as const;
const MOST_RUNS = 40;
/** One false signal in so many well-years, over all measures. */
const WISHED_YEARS = 20;
const WISHED_DAYS = WISHED_YEARS * 365 * WATCHED.length;
const BACK_DAYS = 3;
/** One strange day must not signal by itself; a great change is seen in the last runs anyway. */
const ONE_DAY = 3;

const createWatched = (): Watched => ({
  cusum: createCusum(),
  whole: { high: 0, low: 0 },
  back: 0,
});

export function createSlowChange(): SlowChange {
  return {
    day: NaN,
    today: WATCHED.map(() => []),
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
    state.today = WATCHED.map(() => []);
  }
  WATCHED.forEach(([measure], i) => {
    const value = sample[measure];
    if (!Number.isNaN(value) && state.today[i]!.length < MOST_RUNS) state.today[i]!.push(value);
  });
}

function endDay({ day, today, watched }: SlowChange, base: Baseline): void {
  WATCHED.forEach(([measure], i) => {
    const values = today[i]!;
    const one = watched[i]!;
    const errors = errorsOf(i, base, values.length);
    const { by } = MEASURE[measure];
    const off = together(values, by) - base.centre[measure];
    if (values.length < LEAST_RUNS[by] || Number.isNaN(errors.passing + off)) return;
    if (stepDay(one, off / errors.passing, referenceOf(errors), day * DAY_S))
      watched[i] = createWatched();
  });
}

/** Takes the value of a day; whether what had been signalled has gone back since. */
function stepDay(one: Watched, z: number, k: number, fromS: number): boolean {
  const { cusum, whole } = one;
  const bounded = Math.min(Math.max(z, -ONE_DAY), ONE_DAY);
  const signalled = signalOf(cusum, k);
  const shift = signalled === null ? NaN : shiftOf(signalled, k);
  const towards = signalled === cusum.high ? z : -z;
  one.back = towards < shift / 2 ? one.back + 1 : 0;
  stepCusum(cusum, bounded, k, fromS);
  whole.high = cusum.high.steps === 0 ? 0 : whole.high + z;
  whole.low = cusum.low.steps === 0 ? 0 : whole.low + z;
  return one.back >= BACK_DAYS;
}

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
    const { cusum, whole } = state.watched[i]!;
    const errors = errorsOf(i, base);
    const k = referenceOf(errors);
    const side = signalOf(cusum, k);
    if (side === null) return;
    const sum = side === cusum.high ? whole.high : whole.low;
    const value = (sum / side.steps) * errors.passing;
    const std = Math.hypot(errors.steady, errors.passing / Math.sqrt(side.steps));
    out[measure] = { value, std, sinceS: side.sinceS };
  });
  return out;
}
