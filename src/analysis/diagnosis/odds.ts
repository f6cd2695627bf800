import type { FaultName } from '../../model/faults.ts';
import { HYPOTHESES } from './hypotheses.ts';
import type { Circumstances, Hypothesis, Move } from './hypothesis.ts';
import { isNever, MEASURE, MEASURES, type Measure } from './measures.ts';
import { seasonFactor } from './season.ts';

/** How far a measure now stands from where it was learnt, and how surely. */
export interface Deviation {
  value: number;
  std: number;
  /** When a change of weeks began; not there for one seen in the last runs. */
  sinceS?: number;
  /** Of how many runs it is, where those are fewer than are made one. */
  runs?: number;
}

export type Deviations = Partial<Record<Measure, Deviation>>;

export interface Verdict {
  /** Chance that nothing is wrong, as far as these measures tell. */
  nothing: number;
  /** Chance of each fault, most likely first; with `nothing` they add up to 1. */
  faults: { fault: FaultName; probability: number }[];
  /** By how much each measure speaks for the first fault against nothing: natural logarithm. */
  speaks: { measure: Measure; weight: number }[];
  /** The fault that comes second, and how each measure speaks for it against nothing. */
  rival: Pick<Weighed, 'fault' | 'speaks'> | null;
}

/** A fault moves a measure otherwise than the table says this often. */
const STRAY_FAULT = 0.03;
/** What a fault may or may not move, it moves with this chance. */
const ANY_MOVES = 0.2;
/** Chance a year of trouble that is in no table. */
const UNKNOWN_PER_YEAR = 0.03;
/** A fault is met in its beginning: some ten weeks' worth of chance. */
const WINDOW_YEARS = 1 / 5;
/** Without the channel that would show it a fault is told only on a strong hint. */
const HINT = 0.02;
/** Trouble in no table moves each measure with this chance. */
const UNKNOWN_MOVES = 0.2;

/**
 * Odds of every fault from what has moved: Bayes' rule over faults that exclude each other, each
 * measure once. A fault says of each measure it moves that it lies evenly in a stretch, blurred by
 * the measure's own error; of the others that they stay. The same stray chance in all keeps any
 * single measure from deciding alone.
 */
export function weigh(
  seen: Deviations,
  circumstances: Circumstances,
  leaveOut: ReadonlySet<FaultName> = new Set(),
): Verdict {
  const rows = HYPOTHESES.filter(({ fault }) => !leaveOut.has(fault)).flatMap((hypothesis) => {
    const moves = hypothesis.moves(circumstances);
    return moves === null ? [] : weighOne(hypothesis, moves, seen, circumstances);
  });
  const all = [...rows, unknown(seen)];
  const soundLog = 0;
  const top = Math.max(soundLog, ...all.map(({ log }) => log));
  const sum = Math.exp(soundLog - top) + all.reduce((s, { log }) => s + Math.exp(log - top), 0);
  const chance = new Map<FaultName, number>();
  for (const { fault, log } of all)
    chance.set(fault, (chance.get(fault) ?? 0) + Math.exp(log - top) / sum);
  const faults = [...chance]
    .map(([fault, probability]) => ({ fault, probability }))
    .toSorted((a, b) => b.probability - a.probability);
  const lookOf = (name: FaultName): Weighed =>
    all
      .filter(({ fault }) => fault === name)
      .reduce((best, row) => (row.log > best.log ? row : best));
  const first = lookOf(faults[0]!.fault);
  return {
    nothing: Math.exp(soundLog - top) / sum,
    faults,
    speaks: first.speaks.toSorted((a, b) => b.weight - a.weight),
    rival: faults.length > 1 ? lookOf(faults[1]!.fault) : null,
  };
}

/** A measure that weighs more than this speaks clearly. */
export const SPEAKS = 0.7;
const EVIDENCE = 3;

/** What speaks most for the first fault. */
export function strongest({ speaks }: Verdict): Measure[] {
  const strong = speaks.filter(({ weight }) => weight > SPEAKS).slice(0, EVIDENCE);
  return (strong.length > 0 ? strong : speaks.slice(0, 1)).map(({ measure }) => measure);
}

interface Weighed {
  fault: FaultName;
  log: number;
  speaks: { measure: Measure; weight: number }[];
}

function weighOne(
  hypothesis: Hypothesis,
  moves: Partial<Record<Measure, Move>>,
  seen: Deviations,
  now: Circumstances,
): Weighed {
  const speaks: Weighed['speaks'] = [];
  const rare = hypothesis.hintsOnly !== undefined && seen[hypothesis.hintsOnly] === undefined;
  const season = seasonFactor(hypothesis.fault, now.monthsFromWinter ?? NaN);
  const { hours = Number.POSITIVE_INFINITY } = hypothesis;
  const over = Math.max(now.troubledH / hours - 1, 0);
  let log = Math.log(hypothesis.perYear * season * WINDOW_YEARS * (rare ? HINT : 1)) - over;
  for (const measure of MEASURES) {
    const move = moves[measure];
    const deviation = seen[measure];
    if (move === undefined || deviation === undefined) continue;
    const sound = soundDensity(measure, deviation);
    const weight = Math.log(movedDensity(measure, deviation, move, sound) / sound);
    log += weight;
    speaks.push({ measure, weight });
  }
  return { fault: hypothesis.fault, log, speaks };
}

function unknown(seen: Deviations): Weighed {
  const speaks: Weighed['speaks'] = [];
  let log = Math.log(UNKNOWN_PER_YEAR * WINDOW_YEARS);
  for (const measure of MEASURES) {
    const deviation = seen[measure];
    if (deviation === undefined) continue;
    const sound = soundDensity(measure, deviation);
    const moved = (1 - UNKNOWN_MOVES) * sound + UNKNOWN_MOVES / (2 * MEASURE[measure].span);
    const weight = Math.log(moved / sound);
    log += weight;
    speaks.push({ measure, weight });
  }
  return { fault: 'unknown-trouble', log, speaks };
}

/**
 * What stands off for days on end is so much more rarely chance; not so where it is people who may
 * have changed.
 */
const LASTING = 0.1;
const PEOPLE = 0.01;
/** What no sound run shows is chance once, and again in another run this much more rarely. */
const AGAIN = 0.3;

function soundDensity(measure: Measure, { value, std, sinceS, runs }: Deviation): number {
  const { span, stray: once, last } = MEASURE[measure];
  const more = isNever(measure) ? Math.max(Math.round(value * (runs ?? last)) - 1, 0) : 0;
  const lasts = sinceS === undefined || once > PEOPLE ? 1 : LASTING;
  const stray = once * lasts * AGAIN ** more;
  return ((1 - stray) * normal(value / std)) / std + stray / (2 * span);
}

function movedDensity(measure: Measure, deviation: Deviation, move: Move, sound: number): number {
  const stray = 1 / (2 * MEASURE[measure].span);
  if (move === 'any') return (1 - ANY_MOVES) * sound + ANY_MOVES * stray;
  const stretches = typeof move[0] === 'number' ? [move as readonly [number, number]] : move;
  const list = stretches as readonly (readonly [number, number])[];
  const length = list.reduce((s, [from, to]) => s + (to - from), 0);
  const { value, std } = deviation;
  const inside = list.reduce(
    (s, [from, to]) => s + below((to - value) / std) - below((from - value) / std),
    0,
  );
  return ((1 - STRAY_FAULT) * inside) / length + STRAY_FAULT * stray;
}

const normal = (z: number): number => Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);

/** Normal distribution function, within 1e-7 (Abramowitz and Stegun 26.2.17). */
export function below(z: number): number {
  if (z < -8) return 0;
  if (z > 8) return 1;
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const poly =
    t *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  const tail = normal(z) * poly;
  return z > 0 ? 1 - tail : tail;
}
