import type { Evidence } from '../../model/study.ts';
import type { Equipment } from '../../model/well.ts';
import type { SettledRun } from '../estimation/state.ts';
import { createWatch, judge, learnUsual, type WatchState, watchSettled } from './diagnosis.ts';
import { PRESSURE_IN_DOUBT } from './families.ts';
import { clearByRuns, type FindingsState, raise, wasOpen } from './findings.ts';
import { MEASURE, type Measure } from './measures.ts';
import type { Deviations, Verdict } from './odds.ts';
import type { RunRecord } from './run-record.ts';
import { stepSlowChange } from './slow-change.ts';

/** The slow half of diagnosis: after every run, the odds of all faults from the last runs. */
export interface RunJudgeState {
  watch: WatchState;
  /** Runs in a row that spoke of trouble, since when; and runs in a row that did not. */
  troubled: number;
  sinceS: number;
  calm: number;
  calmSinceS: number;
}

export function createRunJudge(): RunJudgeState {
  return { watch: createWatch(), troubled: 0, sinceS: NaN, calm: 0, calmSinceS: NaN };
}

export interface RunContext {
  nowS: number;
  delivery: { b0: number; b1: number };
  nightDraws: number;
  equipment: Equipment;
  middlePa: number;
}

const DAY_S = 86_400;
/** Readings this far apart in a run do not show what a run is like, s. */
const COARSE_S = 40;
/** Trouble is told when so much of the odds is against a sound well, several runs in a row. */
const TOLD = 0.93;
const SUSPECT = 0.5;
const TOLD_RUNS = 3;
/** And over when so many runs in a row, over so long, show a sound well. */
const CALM = 0.8;
const CALM_RUNS = 6;
const CALM_S = 12 * 3600;

export function judgeRun(
  state: RunJudgeState,
  settled: SettledRun,
  context: RunContext,
  findings: FindingsState,
): void {
  const { watch } = state;
  const record = watchSettled(watch, settled, context.delivery, context.nightDraws);
  if (record === null) return;
  const inDoubt = PRESSURE_IN_DOUBT.some((fault) =>
    wasOpen(findings, fault, record.startS - DAY_S),
  );
  // A run that pressure alone has shown is not like those that the baseline was learnt from.
  if (inDoubt || record.byPressure || record.gapS > COARSE_S) {
    watch.recent.pop();
    return;
  }
  stepSlowChange(watch.slow, watch.recent.at(-1)!, record.startS, watch.base);
  const { verdict, seen } = judge(watch, context.equipment, context.middlePa);
  const trouble = 1 - verdict.nothing;
  if (trouble < SUSPECT) calm(state, record, verdict, findings);
  else suspect(state, record, { verdict, seen, trouble }, { findings, nowS: context.nowS });
  // What is not quite right teaches nothing of what is usual.
  if (trouble < 0.3) learnUsual(watch, record);
}

function calm(
  state: RunJudgeState,
  record: RunRecord,
  verdict: Verdict,
  findings: FindingsState,
): void {
  state.troubled = 0;
  if (verdict.nothing < CALM) {
    state.calm = 0;
    return;
  }
  if (state.calm === 0) state.calmSinceS = record.startS;
  state.calm += 1;
  if (state.calm >= CALM_RUNS && record.stopS - state.calmSinceS >= CALM_S)
    clearByRuns(findings, record.stopS);
}

function suspect(
  state: RunJudgeState,
  record: RunRecord,
  found: { verdict: Verdict; seen: Deviations; trouble: number },
  to: { findings: FindingsState; nowS: number },
): void {
  const { verdict, seen, trouble } = found;
  state.calm = 0;
  if (state.troubled === 0) state.sinceS = record.startS;
  state.troubled += 1;
  if (trouble < TOLD || state.troubled < TOLD_RUNS) return;
  const list = verdict.faults.map(({ fault, probability }) => ({
    fault,
    probability: probability / trouble,
  }));
  const [first, ...rest] = list;
  raise(to.findings, {
    fault: first!.fault,
    by: 'runs',
    probability: first!.probability,
    instead: tidied(first!.probability, rest),
    sinceS: Math.min(state.sinceS, begunS(verdict, seen)),
    nowS: to.nowS,
    evidence: evidenceOf(verdict, seen, state.watch),
  });
}

/** When the changes of weeks that speak for the first fault began; infinite where none does. */
function begunS({ speaks }: Verdict, seen: Deviations): number {
  const began = speaks.filter(({ weight }) => weight > SPEAKS).map((s) => seen[s.measure]?.sinceS);
  return Math.min(...began.map((s) => s ?? Infinity));
}

/** A measure that weighs more than this is told as evidence. */
const SPEAKS = 0.7;
const INSTEAD_MAX = 6;

/** The likeliest others; what is left goes to trouble unknown, so that all add up to 1. */
function tidied(
  first: number,
  rest: { fault: Verdict['faults'][number]['fault']; probability: number }[],
): { fault: Verdict['faults'][number]['fault']; probability: number }[] {
  const kept = rest
    .filter(({ fault, probability }) => probability >= 0.005 && fault !== 'unknown-trouble')
    .slice(0, INSTEAD_MAX);
  const left = 1 - first - kept.reduce((s, { probability }) => s + probability, 0);
  return left > 0 ? [...kept, { fault: 'unknown-trouble' as const, probability: left }] : kept;
}

const EVIDENCE = 3;

function evidenceOf(verdict: Verdict, seen: Deviations, watch: WatchState): Evidence[] {
  const strong = verdict.speaks.filter(({ weight }) => weight > SPEAKS).slice(0, EVIDENCE);
  const measures = strong.length > 0 ? strong : verdict.speaks.slice(0, 1);
  return measures.flatMap(({ measure }) => {
    const deviation = seen[measure];
    return deviation === undefined
      ? []
      : [evidence(measure, deviation, watch.base.centre[measure])];
  });
}

function evidence(
  measure: Measure,
  { value, std }: { value: number; std: number },
  centre: number,
): Evidence {
  const { unit, says } = MEASURE[measure];
  if (unit === 'ratio' && measure !== 'loss')
    return { says, observed: Math.exp(value), expected: 1, expectedStd: std, unit: '1' };
  const told = unit === 'Pa' || unit === 's' ? unit : '1';
  return { says, observed: centre + value, expected: centre, expectedStd: std, unit: told };
}
