import type { FaultName } from '../../model/faults.ts';
import type { Evidence } from '../../model/study.ts';
import type { Equipment } from '../../model/well.ts';
import { createBaseline, middleAndScatter, together } from './baseline.ts';
import { givenTrouble, ranked } from './chances.ts';
import { circumstances, type WatchState } from './diagnosis.ts';
import { type Expected, expectedOf, type Nameplate } from './expected.ts';
import { clearByRuns, type FindingsState, isOpenBy, raise } from './findings.ts';
import { withLookAlikes } from './look-alikes.ts';
import { inFigures, isNever, MEASURE, MEASURES, type Measure } from './measures.ts';
import { movesOf } from './moves.ts';
import { type Deviations, strongest, type Verdict, weigh } from './odds.ts';
import type { RunRecord } from './run-record.ts';
import { createSlowChange } from './slow-change.ts';
import { CALM, CALM_RUNS, CALM_S, NEGLIGIBLE, SUSPECT, TOLD, TOLD_RUNS } from './thresholds.ts';

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
interface StartVerdict {
  verdict: Verdict;
  seen: Deviations;
  expected: Partial<Record<Measure, Expected>>;
}

/** What is judged: the watched well and what its first runs said so far. */
interface StartJudged {
  start: StartState;
  watch: WatchState;
}

interface StartContext {
  equipment: Equipment;
  nameplate: Nameplate;
  middlePa: number;
  nowS: number;
  /** When what is there now began: with the log, or with a service that ended a baseline. */
  epoch: { fromS: number; by: 'log' | 'service' };
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
function judgeFromStart(
  watch: WatchState,
  known: StartContext,
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
  const { by, excess, last, unit } = MEASURE[m];
  // Amps are kept over those learnt here, which is what is in question.
  const learnt = m === 'amps' ? Math.log(watch.base.amps.a0) : 0;
  const off = together(values, by) + learnt - of.value;
  if (Number.isNaN(off)) return undefined;
  // How a share scatters is itself what is in question.
  const scatter = unit === 'share' ? 0 : middleAndScatter(values, by).scatter;
  const chance = (1.25 * scatter) / Math.sqrt(values.length);
  const early = m === 'delivery' && !watch.base.learnt ? EARLY_DELIVERY : 0;
  const value = excess ? Math.max(off, 0) : off;
  const runs = values.length;
  const few = isNever(m) ? Math.max(last / runs, 1) : 1;
  return { value, std: Math.hypot(of.std * few, chance, early), runs };
}

/** What speaks most for the first fault, in words that say since when and against what. */
function startEvidence(
  { verdict, seen, expected }: StartVerdict,
  began: 'log' | 'service',
): Evidence[] {
  const measures = strongest(verdict);
  const since = began === 'log' ? 'since the log began' : 'since the last service';
  return measures.map((m) => {
    const of = expected[m] ?? { value: 0, by: 'none on a sound well' };
    const what = MEASURE[m].says.replace(/, over (what was|those) learnt.*$/, '');
    const says = `${since}: ${what}, against ${of.by}`;
    return { says, ...inFigures(m, seen[m]!, of.value), moves: movesOf(m, verdict) };
  });
}

/**
 * The first runs are held against what should be, until the well has shown itself sound or what is
 * usual has been learnt; and if it was not sound, until it is. Returns whether it seems sick so.
 */
export function judgeStart(
  state: StartJudged,
  record: RunRecord,
  changes: Deviations,
  context: StartContext,
  findings: FindingsState,
): boolean {
  const { start, watch } = state;
  const told = isOpenBy(findings, 'start');
  if (start.over && !told) return false;
  const found = judgeFromStart(watch, context, changes);
  if (found === null) return false;
  const { nothing } = found.verdict;
  if (nothing > SUSPECT) {
    soundFromStart(state, record, found, findings);
    return false;
  }
  start.calm = 0;
  start.troubled += 1;
  if (1 - nothing > TOLD && start.troubled >= TOLD_RUNS) {
    start.spoke = strongest(found.verdict);
    tellStart(found, context, findings);
  }
  if (watch.base.learnt) start.over = true;
  return true;
}

function soundFromStart(
  { start, watch }: StartJudged,
  record: RunRecord,
  { seen, verdict }: StartVerdict,
  findings: FindingsState,
): void {
  start.troubled = 0;
  // What is silent now has not taken back what it said.
  const answered = start.spoke.every((measure) => seen[measure] !== undefined);
  if (verdict.nothing < CALM || !answered) start.calm = 0;
  else {
    if (start.calm === 0) start.calmSinceS = record.startS;
    start.calm += 1;
  }
  if (watch.base.learnt) start.over = true;
  if (start.calm < CALM_RUNS || record.stopS - start.calmSinceS < CALM_S) return;
  start.over = true;
  if (!isOpenBy(findings, 'start')) return;
  // It is as it should be by now: what was learnt of it before is of no use.
  clearByRuns(findings, record.stopS, 'start');
  watch.base = createBaseline();
  watch.slow = createSlowChange();
}

function tellStart(found: StartVerdict, context: StartContext, findings: FindingsState): void {
  const list = withLookAlikes(givenTrouble(found.verdict), found.seen);
  raise(findings, {
    ...ranked(list),
    by: 'start',
    byLog: list.filter(({ probability }) => probability > NEGLIGIBLE),
    sinceS: context.epoch.fromS,
    nowS: context.nowS,
    evidence: startEvidence(found, context.epoch.by),
  });
}
