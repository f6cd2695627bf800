import type { FaultName } from '../../model/faults.ts';
import type { Evidence } from '../../model/study.ts';
import type { Equipment } from '../../model/well.ts';
import { middleAndScatter, together } from './baseline.ts';
import { circumstances, type WatchState } from './diagnosis.ts';
import { type Expected, expectedOf, type Nameplate } from './expected.ts';
import { MEASURE, MEASURES, type Measure } from './measures.ts';
import { type Deviations, type Verdict, weigh } from './odds.ts';

/** What the first runs said of the well as it was when the log began. */
export interface StartState {
  /** Runs in a row against a sound well, for one, and runs in a row for it, since when. */
  troubled: number;
  calm: number;
  calmSinceS: number;
  /** The well was sound when the log began, or that can't be asked any more. */
  over: boolean;
  /** What spoke of trouble when that was last told. */
  spoke: Measure[];
}

export function createStart(): StartState {
  return { troubled: 0, calm: 0, calmSinceS: NaN, over: false, spoke: [] };
}

/** Odds from the first runs on: what was so before anything could be learnt. */
export interface StartVerdict {
  verdict: Verdict;
  seen: Deviations;
  expected: Partial<Record<Measure, Expected>>;
}

/** So many runs must there be, and so many of them must say something of a measure. */
const LEAST_RUNS = 8;
const LEAST_VALUES = 4;
/** Delivery is known no better than this while the gas of the tank is still being learnt. */
const EARLY_DELIVERY = 0.12;

/**
 * A fault that begins under watch is met within weeks; before that it may have stood for a year
 * (from memory), so a well is met with it this many times as often.
 */
const STANDING = 5;

/** A pump other than the one on file shows in its amps. */
const OTHER_PUMP: ReadonlySet<FaultName> = new Set(['tank-undersized', 'pump-changed']);
const NONE: ReadonlySet<FaultName> = new Set();

/**
 * The last runs against nameplate, handbook and physics; null while there are too few.
 * `changes` holds them against the runs before: what is nothing on any sound well counts here too.
 */
export function judgeFromStart(
  watch: WatchState,
  known: { equipment: Equipment; nameplate: Nameplate; middlePa: number },
  changes: Deviations,
): StartVerdict | null {
  if (watch.recent.length < LEAST_RUNS) return null;
  const expected = expectedOf(known.equipment, known.nameplate, watch.base.amps.a0);
  const seen: Deviations = {};
  for (const m of MEASURES) {
    const change = changes[m];
    if (!Number.isNaN(MEASURE[m].sound) && change !== undefined) seen[m] = change;
    const of = expected[m];
    const deviation = of === undefined ? undefined : deviationOf(watch, m, of);
    if (deviation !== undefined) seen[m] = deviation;
  }
  const now = circumstances(watch, seen, known.equipment, known.middlePa);
  const leaveOut = seen.amps === undefined ? OTHER_PUMP : NONE;
  return { verdict: standing(weigh(seen, now, leaveOut)), seen, expected };
}

/** Odds as of trouble that may have stood for long before anyone looked. */
function standing({ nothing, faults, ...rest }: Verdict): Verdict {
  const sum = nothing + STANDING * (1 - nothing);
  const grown = faults.map(({ fault, probability }) => ({
    fault,
    probability: (STANDING * probability) / sum,
  }));
  return { ...rest, nothing: nothing / sum, faults: grown };
}

function deviationOf(watch: WatchState, m: Measure, of: Expected) {
  const values = watch.recent.map((sample) => sample[m]).filter((value) => !Number.isNaN(value));
  if (values.length < LEAST_VALUES) return undefined;
  const { by, excess, unit } = MEASURE[m];
  // Amps are kept over those learnt here, which is what is in question.
  const learnt = m === 'amps' ? Math.log(watch.base.amps.a0) : 0;
  const off = together(values, by) + learnt - of.value;
  if (Number.isNaN(off)) return undefined;
  // How a share scatters is itself what is in question.
  const scatter = unit === 'share' ? 0 : middleAndScatter(values, by).scatter;
  const chance = (1.25 * scatter) / Math.sqrt(values.length);
  const early = m === 'delivery' && !watch.base.learnt ? EARLY_DELIVERY : 0;
  return { value: excess ? Math.max(off, 0) : off, std: Math.hypot(of.std, chance, early) };
}

const EVIDENCE = 3;

/** What speaks for the first fault. */
export function strongest({ speaks }: Verdict): Measure[] {
  const strong = speaks.filter(({ weight }) => weight > 0.7).slice(0, EVIDENCE);
  return (strong.length > 0 ? strong : speaks.slice(0, 1)).map(({ measure }) => measure);
}

/** What speaks most for the first fault, in words that say since when and against what. */
export function startEvidence(
  { verdict, seen, expected }: StartVerdict,
  began: 'log' | 'service',
): Evidence[] {
  const measures = strongest(verdict);
  const since = began === 'log' ? 'since the log began' : 'since the last service';
  return measures.map((m) => {
    const { unit } = MEASURE[m];
    const { value, std } = seen[m]!;
    const of = expected[m] ?? { value: 0, by: 'none on a sound well' };
    const what = MEASURE[m].says.replace(/, over (what was|those) learnt.*$/, '');
    const says = `${since}: ${what}, against ${of.by}`;
    if (unit === 'ratio' && m !== 'loss')
      return { says, observed: Math.exp(value), expected: 1, expectedStd: std, unit: '1' };
    const told = unit === 'Pa' || unit === 's' ? unit : '1';
    return { says, observed: of.value + value, expected: of.value, expectedStd: std, unit: told };
  });
}
