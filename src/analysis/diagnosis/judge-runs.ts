import { FAULTS, type FaultName } from '../../model/faults.ts';
import type { Evidence, Urgency } from '../../model/study.ts';
import type { Equipment } from '../../model/well.ts';
import type { SettledRun } from '../estimation/state.ts';
import { learntSick } from './baseline.ts';
import { givenTrouble, ranked } from './chances.ts';
import { createWatch, judge, learnUsual, type WatchState, watchSettled } from './diagnosis.ts';
import type { Nameplate } from './expected.ts';
import {
  clearByRuns,
  type FindingsState,
  isOpenBy,
  isTroubled,
  raise,
  wasPressureInDoubt,
} from './findings.ts';
import { isHabit } from './habit.ts';
import { createStart, judgeStart, type StartState } from './judge-start.ts';
import { withLookAlikes } from './look-alikes.ts';
import { inFigures, MEASURE } from './measures.ts';
import { movesOf } from './moves.ts';
import { type Deviations, SPEAKS, strongest, type Verdict } from './odds.ts';
import type { RunRecord } from './run-record.ts';
import { sinceOf, stepSlowChange } from './slow-change.ts';
import { afterTests, speaking } from './tests-speak.ts';
import { watchSampling } from './thin-runs.ts';
import { CALM, CALM_RUNS, CALM_S, NEGLIGIBLE, SUSPECT, TOLD, TOLD_RUNS } from './thresholds.ts';

/** The slow half of diagnosis: after every run, the odds of all faults from the last runs. */
export interface RunJudgeState {
  watch: WatchState;
  /** Runs in a row that spoke of trouble, since when; and runs in a row that did not. */
  troubled: number;
  sinceS: number;
  calm: number;
  calmSinceS: number;
  /** Runs that held too few readings, less those that did not. */
  thin: number;
  /** Another name than the one told, and how many runs in a row spoke for it. */
  rename: { fault: FaultName; runs: number } | null;
  /** When heavy use was last a habit of the house; NaN while it never was. */
  habitS: number;
  start: StartState;
  /** Since when one baseline holds. */
  epochS: number;
}

export function createRunJudge(): RunJudgeState {
  return {
    watch: createWatch(),
    troubled: 0,
    sinceS: NaN,
    calm: 0,
    calmSinceS: NaN,
    thin: 0,
    rename: null,
    habitS: NaN,
    start: createStart(),
    epochS: NaN,
  };
}

export interface RunContext {
  nowS: number;
  /** When what is there now began: with the log, or with a service that ended a baseline. */
  epoch: { fromS: number; by: 'log' | 'service' };
  delivery: { b0: number; b1: number };
  nameplate: Nameplate;
  nightDraws: number;
  /** Water was used by plan meanwhile. */
  knownUse: boolean;
  monthsFromWinter: number;
  /** Amps come with this log: a run that pressure alone has shown is not like the others then. */
  hasAmps: boolean;
  equipment: Equipment;
  middlePa: number;
}

const DAY_S = 86_400;
/** Readings this far apart in a run do not show what a run is like, s. */
const COARSE_S = 40;
/** What is slow is not guessed early: a morning's use may look like it, s. */
const WAIT_S: Record<Urgency, number> = {
  now: 0,
  today: 3600,
  days: 2 * 3600,
  weeks: 15 * 3600,
  note: 1200,
};
export function judgeRun(
  state: RunJudgeState,
  settled: SettledRun,
  context: RunContext,
  findings: FindingsState,
): void {
  if (state.epochS !== context.epoch.fromS) beginEpoch(state, context.epoch.fromS);
  const { watch } = state;
  watch.monthsFromWinter = context.monthsFromWinter;
  const record = watchSettled(watch, settled, context.delivery, context);
  if (record === null) return;
  const thin = watchSampling(state, record, findings, context.nowS);
  const inDoubt = wasPressureInDoubt(findings, record.startS - DAY_S);
  if (inDoubt || thin || record.gapS > COARSE_S) {
    watch.recent.pop();
    return;
  }
  stepSlowChange(watch.slow, watch.recent.at(-1)!, record.startS, watch.base);
  watch.troubledH = state.troubled === 0 ? 0 : (record.stopS - state.sinceS) / 3600;
  const { verdict, seen } = judge(watch, context.equipment, context.middlePa);
  const byLog = 1 - verdict.nothing;
  const trouble = byLog * leftByTests(state, record, verdict, findings);
  const sickFromStart = !watch.dim && judgeStart(state, record, seen, context, findings);
  if (trouble < SUSPECT) {
    // A run seen by pressure alone takes nothing back but what it tells of: water that is lost.
    if (!watch.dim || isOfLoss(findings)) calm(state, record, verdict, findings);
  } else if (!sickFromStart)
    suspect(state, record, { verdict, seen, trouble }, { findings, nowS: context.nowS });
  // What is not quite right teaches nothing of what is usual.
  if (byLog < 0.3 && !watch.dim) learnUsual(watch, record, isTroubled(findings));
}

/** What was usual before a service is not so after it; what is under way goes on. */
function beginEpoch(state: RunJudgeState, fromS: number): void {
  const { run, rest, before, waiting, loss, ran, still } = state.watch;
  state.watch = { ...createWatch(), run, rest, before, waiting, loss, ran, still };
  state.start = createStart();
  state.epochS = fromS;
}

/** Share of the odds of trouble that tests leave; they speak for what was there before them. */
function leftByTests(
  state: RunJudgeState,
  record: RunRecord,
  verdict: Verdict,
  { tests, all }: FindingsState,
): number {
  if (tests.length === 0) return 1;
  const open = all.findLast((f) => f.by !== 'sign' && Number.isNaN(f.clearedS));
  const sinceS = open?.sinceS ?? (state.troubled > 0 ? state.sinceS : record.startS);
  const { nothing } = verdict;
  const { left } = afterTests(
    givenTrouble(verdict),
    speaking(tests, { sinceS, nowS: record.stopS }),
  );
  // What is left of trouble, over that and a sound well.
  return left / ((1 - nothing) * left + nothing);
}

const isOfLoss = ({ all }: FindingsState): boolean =>
  all.every(
    ({ by, clearedS, family }) => by === 'sign' || !Number.isNaN(clearedS) || family === 'loss',
  );

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
  const list = withLookAlikes(givenTrouble(verdict), seen);
  const told = ranked(list);
  if (record.stopS - state.sinceS < waitOf(told.fault) && !hasWaited(told.fault, to.findings))
    return;
  if (isPassingName(state, told.fault, to.findings)) return;
  const isUse = told.fault === 'heavy-use';
  const use = { sinceS: state.sinceS, nowS: record.stopS, lastS: state.habitS };
  if (isUse && !isOpenBy(to.findings, 'runs') && isHabit(to.findings, use)) {
    state.habitS = record.stopS;
    return;
  }
  raise(to.findings, {
    ...told,
    by: 'runs',
    // Use is of the hour: a change of weeks did not begin it.
    sinceS: isUse ? state.sinceS : sinceOf({ runsS: state.sinceS, dayS: begunS(verdict, seen) }),
    byLog: list.filter(({ probability }) => probability > NEGLIGIBLE),
    nowS: to.nowS,
    evidence: evidenceOf(verdict, seen, state.watch),
  });
}

/**
 * Air is lost over weeks, and two days of lawn or guests may look like it; a morning's lawn may
 * look like a relief valve, of which a run that does not end tells sooner.
 */
const LONGER_S: Partial<Record<FaultName, number>> = {
  'precharge-low': 48 * 3600,
  'relief-lifting': 24 * 3600,
};
const waitOf = (fault: FaultName): number => LONGER_S[fault] ?? WAIT_S[FAULTS[fault].urgency[0]!];

/** What stands told by runs may change its name to one that waits no longer than it did. */
const hasWaited = (fault: FaultName, { all }: FindingsState): boolean =>
  all.some(
    (open) =>
      open.by === 'runs' && Number.isNaN(open.clearedS) && waitOf(open.fault) >= waitOf(fault),
  );

/** What is told takes no other name for the sake of a run or two, but where it cannot wait. */
function isPassingName(state: RunJudgeState, fault: FaultName, { all }: FindingsState): boolean {
  const open = all.find((f) => f.by === 'runs' && Number.isNaN(f.clearedS));
  if (open === undefined || open.fault === fault || FAULTS[fault].urgency[0] === 'now') {
    state.rename = null;
    return false;
  }
  const runs = state.rename?.fault === fault ? state.rename.runs + 1 : 1;
  state.rename = { fault, runs };
  return runs < TOLD_RUNS;
}

/** The day on which changes of weeks that speak for the first fault began; infinite without. */
function begunS({ speaks }: Verdict, seen: Deviations): number {
  const began = speaks
    .filter(({ weight }) => weight > SPEAKS)
    .map((one) => seen[one.measure]?.sinceS);
  return Math.min(...began.map((s) => s ?? Infinity));
}

function evidenceOf(verdict: Verdict, seen: Deviations, watch: WatchState): Evidence[] {
  return strongest(verdict).flatMap((measure) => {
    const deviation = seen[measure];
    if (deviation === undefined) return [];
    const { sound, says } = MEASURE[measure];
    const sick = Number.isNaN(sound) && learntSick(watch.base);
    const words = sick ? `${says} (what is usual was learnt while something was wrong)` : says;
    const told = inFigures(measure, deviation, watch.base.centre[measure]);
    return [{ says: words, ...told, moves: movesOf(measure, verdict) }];
  });
}
