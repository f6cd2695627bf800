import { FAULTS } from '../../model/faults.ts';
import type { Evidence, Moves, Urgency } from '../../model/study.ts';
import type { Equipment } from '../../model/well.ts';
import type { SettledRun } from '../estimation/state.ts';
import { type Baseline, createBaseline, learntSick } from './baseline.ts';
import { createWatch, judge, learnUsual, type WatchState, watchSettled } from './diagnosis.ts';
import type { Nameplate } from './expected.ts';
import { PRESSURE_IN_DOUBT } from './families.ts';
import {
  clear,
  clearByRuns,
  type FindingsState,
  isOpenBy,
  isTroubled,
  raise,
  wasOpen,
} from './findings.ts';
import {
  createStart,
  judgeFromStart,
  type StartState,
  type StartVerdict,
  startEvidence,
  strongest,
} from './judge-start.ts';
import { MEASURE, type Measure } from './measures.ts';
import type { Deviations, Verdict } from './odds.ts';
import { ODDS } from './plain-odds.ts';
import type { RunRecord } from './run-record.ts';
import { createSlowChange, stepSlowChange } from './slow-change.ts';
import { afterTests, ranked, speaking } from './tests-speak.ts';

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
  equipment: Equipment;
  middlePa: number;
}

const DAY_S = 86_400;
/** Readings this far apart in a run do not show what a run is like, s. */
const COARSE_S = 40;
/** Trouble is told when so much of the odds is against a sound well, several runs in a row. */
const TOLD = 0.93;
/** What is slow is not guessed early: a morning's use may look like it, s. */
const WAIT_S: Record<Urgency, number> = {
  now: 0,
  today: 0,
  days: 2 * 3600,
  weeks: 15 * 3600,
  note: 1200,
};
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
  if (state.epochS !== context.epoch.fromS) beginEpoch(state, context.epoch.fromS);
  const { watch } = state;
  watch.monthsFromWinter = context.monthsFromWinter;
  const record = watchSettled(watch, settled, context.delivery, context);
  if (record === null) return;
  const thin = watchSampling(state, record, findings, context.nowS);
  const inDoubt = PRESSURE_IN_DOUBT.some((fault) =>
    wasOpen(findings, fault, record.startS - DAY_S),
  );
  // A run that pressure alone has shown is not like those that the baseline was learnt from.
  if (inDoubt || thin || record.byPressure || record.gapS > COARSE_S) {
    watch.recent.pop();
    return;
  }
  stepSlowChange(watch.slow, watch.recent.at(-1)!, record.startS, watch.base);
  watch.troubledH = state.troubled === 0 ? 0 : (record.stopS - state.sinceS) / 3600;
  const { verdict, seen } = judge(watch, context.equipment, context.middlePa);
  const byLog = 1 - verdict.nothing;
  const trouble = byLog * leftByTests(state, record, verdict, findings);
  const sickFromStart = judgeStart(state, record, seen, context, findings);
  if (trouble < SUSPECT) calm(state, record, verdict, findings);
  else if (!sickFromStart)
    suspect(state, record, { verdict, seen, trouble }, { findings, nowS: context.nowS });
  // What is not quite right teaches nothing of what is usual.
  if (byLog < 0.3) learnUsual(watch, record, isTroubled(findings));
}

/** What was usual before a service is not so after it; what is under way goes on. */
function beginEpoch(state: RunJudgeState, fromS: number): void {
  const { run, rest, before, waiting, loss, ran } = state.watch;
  state.watch = { ...createWatch(), run, rest, before, waiting, loss, ran };
  state.start = createStart();
  state.epochS = fromS;
}

/**
 * The first runs are held against what should be, until the well has shown itself sound or what is
 * usual has been learnt; and if it was not sound, until it is. Returns whether it seems sick so.
 */
function judgeStart(
  state: RunJudgeState,
  record: RunRecord,
  changes: Deviations,
  context: RunContext,
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
  { start, watch }: RunJudgeState,
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

function tellStart(found: StartVerdict, context: RunContext, findings: FindingsState): void {
  const { faults, nothing } = found.verdict;
  const list = faults.map(({ fault, probability }) => ({
    fault,
    probability: probability / (1 - nothing),
  }));
  raise(findings, {
    ...ranked(list),
    by: 'start',
    byLog: list.filter(({ probability }) => probability > NEGLIGIBLE),
    sinceS: context.epoch.fromS,
    nowS: context.nowS,
    evidence: startEvidence(found, context.epoch.by),
  });
}

/**
 * Whether a run holds too few readings to be followed, though it was no flicker of the switch;
 * several of them are told.
 */
function watchSampling(
  state: RunJudgeState,
  record: RunRecord,
  findings: FindingsState,
  nowS: number,
): boolean {
  const { startS, stopS, readings, everyS } = record;
  const thin = readings < FOLLOWED && everyS > FLICKER_S;
  if (!thin) {
    state.thin = Math.max(state.thin - 1, 0);
    if (state.thin === 0) clear(findings, 'sampling-too-slow', nowS);
    return false;
  }
  state.thin = Math.min(state.thin + 1, THIN_RUNS);
  if (state.thin === THIN_RUNS)
    raise(findings, {
      fault: 'sampling-too-slow',
      by: 'sign',
      probability: ODDS['sampling-too-slow']![0]![1],
      instead: [{ fault: 'unknown-trouble', probability: ODDS['sampling-too-slow']![1]![1] }],
      sinceS: startS,
      nowS,
      evidence: [
        {
          says: 'a run of the pump holds fewer than three readings; they come this far apart',
          observed: everyS,
          expected: (stopS - startS) / 10,
          expectedStd: null,
          unit: 's',
        },
      ],
    });
  return true;
}

/** A run with fewer readings cannot be followed; this many are told. */
const FOLLOWED = 3;
const THIN_RUNS = 4;
/** Readings that come as often as this miss only what is no run, s. */
const FLICKER_S = 12;

/** Share of the odds of trouble that tests leave; they speak for what was there before them. */
function leftByTests(
  state: RunJudgeState,
  record: RunRecord,
  { nothing, faults }: Verdict,
  { tests, all }: FindingsState,
): number {
  if (tests.length === 0) return 1;
  const open = all.findLast((f) => f.by !== 'sign' && Number.isNaN(f.clearedS));
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
  const told = ranked(list);
  const waitS = WAIT_S[FAULTS[told.fault].urgency[0]!];
  if (record.stopS - state.sinceS < waitS && !isOpenBy(to.findings, 'runs')) return;
  raise(to.findings, {
    ...told,
    by: 'runs',
    sinceS: Math.min(state.sinceS, begunS(verdict, seen)),
    byLog: list.filter(({ probability }) => probability > NEGLIGIBLE),
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
/** Too little for any test to bring it forward. */
const NEGLIGIBLE = 1e-7;

const EVIDENCE = 3;

function evidenceOf(verdict: Verdict, seen: Deviations, watch: WatchState): Evidence[] {
  const strong = verdict.speaks.filter(({ weight }) => weight > SPEAKS).slice(0, EVIDENCE);
  const measures = strong.length > 0 ? strong : verdict.speaks.slice(0, 1);
  return measures.flatMap(({ measure }) => {
    const deviation = seen[measure];
    return deviation === undefined
      ? []
      : [
          {
            ...evidence(measure, deviation, watch.base),
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
  base: Baseline,
): Evidence {
  const { sound, unit, says: words } = MEASURE[measure];
  const sick = Number.isNaN(sound) && learntSick(base);
  const says = sick ? `${words} (what is usual was learnt while something was wrong)` : words;
  const centre = base.centre[measure];
  if (unit === 'ratio' && measure !== 'loss')
    return { says, observed: Math.exp(value), expected: 1, expectedStd: std, unit: '1' };
  const told = unit === 'Pa' || unit === 's' ? unit : '1';
  return { says, observed: centre + value, expected: centre, expectedStd: std, unit: told };
}
