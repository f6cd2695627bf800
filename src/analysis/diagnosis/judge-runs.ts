import type { Evidence, Moves } from '../../model/study.ts';
import type { Equipment } from '../../model/well.ts';
import type { SettledRun } from '../estimation/state.ts';
import { createWatch, judge, learnUsual, type WatchState, watchSettled } from './diagnosis.ts';
import { PRESSURE_IN_DOUBT } from './families.ts';
import { clearByRuns, type FindingsState, raise, wasOpen } from './findings.ts';
import { MEASURE, type Measure } from './measures.ts';
import type { Deviations, Verdict } from './odds.ts';
import type { RunRecord } from './run-record.ts';
import { afterTests, ranked, speaking } from './tests-speak.ts';

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
  monthsFromWinter: number;
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
  watch.monthsFromWinter = context.monthsFromWinter;
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
  const { verdict, seen } = judge(watch, context.equipment, context.middlePa);
  const byLog = 1 - verdict.nothing;
  const trouble = byLog * leftByTests(state, record, verdict, findings);
  if (trouble < SUSPECT) calm(state, record, verdict, findings);
  else suspect(state, record, { verdict, seen, trouble }, { findings, nowS: context.nowS });
  // What is not quite right teaches nothing of what is usual.
  if (byLog < 0.3) learnUsual(watch, record);
}

/** Share of the odds of trouble that tests leave; they speak for what was there before them. */
function leftByTests(
  state: RunJudgeState,
  record: RunRecord,
  { nothing, faults }: Verdict,
  { tests, all }: FindingsState,
): number {
  if (tests.length === 0) return 1;
  const open = all.findLast((f) => f.by === 'runs' && Number.isNaN(f.clearedS));
  const sinceS = open?.sinceS ?? (state.troubled > 0 ? state.sinceS : record.startS);
  const trouble = 1 - nothing;
  const odds = faults.map(({ fault, probability }) => ({
    fault,
    probability: probability / trouble,
  }));
  const { left } = afterTests(odds, speaking(tests, { sinceS, nowS: record.stopS }));
  // What is left of trouble, over that and a sound well.
  return left / (trouble * left + nothing);
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
  const byLog = 1 - verdict.nothing;
  state.calm = 0;
  if (state.troubled === 0) state.sinceS = record.startS;
  state.troubled += 1;
  if (trouble < TOLD || state.troubled < TOLD_RUNS) return;
  const list = verdict.faults.map(({ fault, probability }) => ({
    fault,
    probability: probability / byLog,
  }));
  raise(to.findings, {
    ...ranked(list),
    by: 'runs',
    byLog: list.filter(({ probability }) => probability > NEGLIGIBLE),
    sinceS: state.sinceS,
    nowS: to.nowS,
    evidence: evidenceOf(verdict, seen, state.watch),
  });
}

/** Too little for any test to bring it forward. */
const NEGLIGIBLE = 1e-7;

const EVIDENCE = 3;

function evidenceOf(verdict: Verdict, seen: Deviations, watch: WatchState): Evidence[] {
  const strong = verdict.speaks.filter(({ weight }) => weight > 0.7).slice(0, EVIDENCE);
  const measures = strong.length > 0 ? strong : verdict.speaks.slice(0, 1);
  return measures.flatMap(({ measure }) => {
    const deviation = seen[measure];
    return deviation === undefined
      ? []
      : [
          {
            ...evidence(measure, deviation, watch.base.centre[measure]),
            moves: movesOf(measure, verdict),
          },
        ];
  });
}

function movesOf(measure: Measure, { faults, speaks, rival }: Verdict): Moves {
  const weightIn = (list: Verdict['speaks']): number =>
    list.find((one) => one.measure === measure)?.weight ?? 0;
  const logOverSound = weightIn(speaks);
  return {
    fault: faults[0]!.fault,
    logOverSound,
    rival: rival?.fault ?? null,
    logOverRival: rival === null ? null : logOverSound - weightIn(rival.speaks),
  };
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
