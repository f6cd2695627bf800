import { MEASURE, MEASURES, type Measure, type MeasureKind, type Sample } from './measures.ts';
import type { RunRecord } from './run-record.ts';

/**
 * What is usual on this well, learnt anew in every epoch in the first seven days or thirty clean
 * runs, whichever is later, and then kept. Before that it stands provisionally.
 */
export interface Baseline {
  fromS: number;
  runs: number;
  learnt: boolean;
  /** Runs of these that were taken in while something was known to be wrong. */
  sickRuns: number;
  /** When the last runs that were taken in began, at most a day's worth. */
  lastS: number[];
  /** The samples it is made of, by measure. */
  samples: Record<Measure, number[]>;
  centre: Record<Measure, number>;
  scatter: Record<Measure, number>;
  /** Amps over pressure, by sums over all runs. */
  sums: { n: number; x: number; xx: number; a: number; xa: number };
  amps: { a0: number; a1: number };
}

const LEARN_S = 7 * 86_400;
const LEARN_RUNS = 30;
const KEPT = 60;
/** A day is taken in with so many runs: what burst on it is not usual for its many runs. */
const OF_A_DAY = 8;
const DAY_S = 86_400;
/** Fewer samples than this compare nothing. */
const LEAST = 6;

const each = <T>(make: () => T): Record<Measure, T> =>
  Object.fromEntries(MEASURES.map((m) => [m, make()])) as Record<Measure, T>;

export function createBaseline(): Baseline {
  return {
    fromS: NaN,
    runs: 0,
    learnt: false,
    sickRuns: 0,
    lastS: [],
    samples: each<number[]>(() => []),
    centre: each(() => NaN),
    scatter: each(() => NaN),
    sums: { n: 0, x: 0, xx: 0, a: 0, xa: 0 },
    amps: { a0: NaN, a1: 0 },
  };
}

/** Whether enough runs of the last day were taken in; one that is not counts as one of them. */
function isCrowd({ lastS }: Baseline, startS: number): boolean {
  while (lastS.length > 0 && lastS[0]! < startS - DAY_S) lastS.shift();
  if (lastS.length >= OF_A_DAY) return true;
  lastS.push(startS);
  return false;
}

/** Fewer sick runs than this share leave the middle of all where it was. */
const SICK_SHARE = 0.2;

/** Whether it was learnt from a well that was sick already: changes are told against that. */
export const learntSick = (base: Baseline): boolean => base.sickRuns > SICK_SHARE * base.runs;

/** What is to be said of where a baseline was learnt, once it is; empty where all was sound. */
export function toldOf(base: Baseline): string[] {
  if (!base.learnt || base.sickRuns === 0) return [];
  if (learntSick(base))
    return [
      'what is usual on this well was learnt while something was wrong with it: changes are told ' +
        'against that, not against a sound well',
    ];
  return [
    `${base.sickRuns} of the ${base.runs} runs that taught what is usual on this well came while ` +
      'something was wrong with it, too few to move it',
  ];
}

/** Takes a run that differs from those before by nothing; `sick` where something else is wrong. */
export function learnBaseline(base: Baseline, run: RunRecord, sample: Sample, sick: boolean): void {
  if (base.learnt) return;
  if (Number.isNaN(base.fromS)) base.fromS = run.startS;
  if (isCrowd(base, run.startS)) return;
  const clean = run.begun === 'cut-in' && run.ended === 'cut-out' && run.breaks === 0;
  if (clean) {
    base.runs += 1;
    if (sick) base.sickRuns += 1;
    learnAmps(base, run);
  }
  for (const m of MEASURES) {
    const value = sample[m];
    if (Number.isNaN(value)) continue;
    const list = base.samples[m];
    list.push(value);
    if (list.length > KEPT) list.shift();
    if (list.length < LEAST) continue;
    const { centre, scatter } = middleAndScatter(list, MEASURE[m].by);
    base.centre[m] = Number.isNaN(MEASURE[m].sound) ? centre : MEASURE[m].sound;
    base.scatter[m] = scatter;
  }
  if (base.runs >= LEARN_RUNS && run.stopS - base.fromS >= LEARN_S) {
    base.learnt = true;
    base.samples = each<number[]>(() => []);
  }
}

function learnAmps(base: Baseline, run: RunRecord): void {
  if (Number.isNaN(run.meanA) || Number.isNaN(run.meanX) || run.byPressure) return;
  const { sums } = base;
  const slope = Number.isNaN(run.slopeA) ? 0 : run.slopeA;
  sums.n += 1;
  sums.x += run.meanX;
  sums.a += run.meanA;
  sums.xa += slope;
  const a1 = sums.xa / sums.n;
  base.amps = { a0: (sums.a - a1 * sums.x) / sums.n, a1 };
}

function middle(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}

/** One figure for several runs, as the measure wants it. */
export function together(values: readonly number[], by: MeasureKind['by']): number {
  if (by === 'mean') return values.reduce((s, v) => s + v, 0) / values.length;
  if (by === 'scatter') return Math.log(spreadOf(values, middle(values)) + LEAST_SPREAD_PA);
  if (by === 'upper') return values.toSorted((a, b) => a - b)[Math.floor(0.8 * values.length)]!;
  if (by === 'lower') return values.toSorted((a, b) => a - b)[Math.floor(0.3 * values.length)]!;
  return by === 'highest' ? Math.max(...values) : middle(values);
}

/** The scatter of a switch is not compared below the noise of its readings [Pa]. */
const LEAST_SPREAD_PA = 1500;

function spreadOf(values: readonly number[], around: number): number {
  const sorted = values.map((v) => Math.abs(v - around)).toSorted((a, b) => a - b);
  return 1.483 * sorted[sorted.length >> 1]!;
}

export function middleAndScatter(
  values: readonly number[],
  by: MeasureKind['by'],
): { centre: number; scatter: number } {
  const centre = together(values, by);
  // The median distance times 1.483 is the standard deviation of a normal scatter.
  const around = by === 'mean' || by === 'middle' ? centre : middle(values);
  return { centre, scatter: by === 'scatter' ? 0 : spreadOf(values, around) };
}
