import { FAULTS, type FaultName } from '../../model/faults.ts';
import { type Evidence, weightOf } from '../../model/study.ts';
import { type Chance, ranked } from './chances.ts';
import { FAMILY, type Family, PRESSURE_IN_DOUBT } from './families.ts';
import { afterTests, type Dated, evidenceOfTests, type Spoken, speaking } from './tests-speak.ts';

/** A finding in the making: its odds add up to 1 over `fault` and `instead`. */
export interface FindingRecord {
  id: string;
  fault: FaultName;
  family: Family;
  /**
   * What it was raised by: a plain sign of the moment, the odds of the last runs against those
   * before, or the odds of all runs since the log began against what should be.
   */
  by: 'sign' | 'runs' | 'start';
  /** The fault it was first raised as: the end of that sign clears it, whatever tests say. */
  raisedAs: FaultName;
  probability: number;
  instead: Chance[];
  /** Odds by the log alone, before what tests say. */
  byLog: Chance[];
  sinceS: number;
  raisedS: number;
  clearedS: number;
  replacedBy: string | null;
  evidence: Dated[];
  /** What the tests found that moved its odds. */
  testEvidence: Dated[];
  history: { atS: number; fault: FaultName; probability: number }[];
}

export interface FindingsState {
  all: FindingRecord[];
  /** What the tests made so far say. */
  tests: Spoken[];
  /** Findings counted only, once the list is full. */
  dropped: number;
  /** When the last finding of a fault that was counted only was cleared; NaN while it is open. */
  droppedClearedS: Partial<Record<FaultName, number>>;
}

/** A log that is all trouble must not grow the result without end; the bound is told. */
export const FINDINGS_MAX = 2000;
/** What passes and comes again is another event, but for one that comes back within this. */
const SAME_EVENT_S = 6 * 3600;
/** Any other trouble that comes back by the next day was not over. */
const SAME_S = 30 * 3600;
const EVENTS: readonly FaultName[] = ['data-gap', 'power-out', 'clock-jump', 'heavy-use'];
const sameS = (fault: FaultName): number => (EVENTS.includes(fault) ? SAME_EVENT_S : SAME_S);
const EVIDENCE_MAX = 4;
const HISTORY_MAX = 24;
/** The odds of many runs that are this firm correct what a moment's sign had said. */
const FIRM = 0.7;
/** What cannot wait is not made less of by less than this. */
const FIRMER = 0.95;
/** Odds that move by less than this are not worth a line of history. */
const TOLD_CHANGE = 0.1;

export function createFindings(): FindingsState {
  return { all: [], tests: [], dropped: 0, droppedClearedS: {} };
}

export interface Raising {
  fault: FaultName;
  by: FindingRecord['by'];
  probability: number;
  instead: Chance[];
  /** All odds by the log alone, where `fault` and `instead` are not all of them. */
  byLog?: Chance[];
  sinceS: number;
  nowS: number;
  evidence: Evidence[];
}

/** A raising after what the tests say of it. */
type Weighed = Raising & {
  raisedAs: FaultName;
  byLog: Chance[];
  evidence: Dated[];
  testEvidence: Dated[];
};

const weight = (fault: FaultName): number => weightOf(FAULTS[fault].urgency[0]!);
const cannotWait = (fault: FaultName): boolean => FAULTS[fault].urgency[0] === 'now';

/**
 * Raises a fault, or adds to the finding that is open for the same trouble, or was cleared a short
 * while ago: one cause, one finding.
 */
export function raise(state: FindingsState, byLog: Raising): void {
  const known = openOf(state, byLog);
  const raising = weighed(state, byLog, known?.sinceS ?? byLog.sinceS);
  if (known === null && isSilenced(state, raising)) return;
  if (known === null) {
    add(state, raising);
    return;
  }
  const worse = weight(raising.fault) - weight(known.fault);
  // What was so from the start is not told anew as a change.
  if (raising.by === 'runs' && known.by === 'start') known.clearedS = NaN;
  else if (known.fault === raising.fault) reopen(state, known, raising);
  else if (
    raising.by === 'sign' &&
    worse > 0 &&
    !isExplained(known, raising) &&
    !isKnownBetter(known, raising)
  )
    replace(state, known, raising);
  else if (
    raising.by !== 'sign' &&
    (known.by !== 'sign' || raising.probability > firm(known, worse))
  )
    change(state, known, raising);
  else Object.assign(known, { clearedS: NaN });
}

/**
 * Single stalls belong to a weak start (when most starts stall, the runs say so), and so does the
 * want of water while the motor's protector cools.
 */
function isExplained(known: FindingRecord, { fault, sinceS, nowS }: Raising): boolean {
  if (known.fault !== 'start-circuit-weak' && known.fault !== 'overload-tripping') return false;
  if (fault === 'switch-no-start') return nowS - sinceS < COOLS_S;
  return fault === 'rotor-locked' && known.by !== 'sign';
}

const COOLS_S = 1800;

const firm = ({ fault }: FindingRecord, worse: number): number => {
  // A note stands in the way of nothing.
  if (weight(fault) === 0 && worse > 0) return 0;
  return cannotWait(fault) && worse < 0 ? FIRMER : FIRM;
};

/** What many runs have settled no single sign turns round, but one that cannot wait. */
const isKnownBetter = (known: FindingRecord, { fault }: Raising): boolean =>
  known.by !== 'sign' && !cannotWait(fault) && weight(known.fault) > 0;

function weighed(state: FindingsState, raising: Raising, sinceS: number): Weighed {
  const { fault, probability, instead, nowS } = raising;
  const byLog = raising.byLog ?? [{ fault, probability }, ...instead];
  const tests = speaking(state.tests, { sinceS, nowS });
  const seen = { fromS: Math.min(raising.sinceS, nowS), toS: nowS };
  const evidence = raising.evidence.map((one) => ({ ...one, ...seen }));
  const whole = { ...raising, raisedAs: fault, byLog, evidence, testEvidence: [] };
  if (tests.length === 0) return whole;
  const told = ranked(afterTests(byLog, tests).odds);
  return { ...whole, ...told, testEvidence: evidenceOfTests(tests, told) };
}

/** Tests are in: each open finding that was there when they were made has its odds moved. */
export function takeTests(state: FindingsState, tests: Spoken[], nowS: number): void {
  state.tests = tests;
  for (const known of state.all) {
    if (!Number.isNaN(known.clearedS) || known.replacedBy !== null) continue;
    const now = speaking(tests, { sinceS: known.sinceS, nowS });
    if (now.length === 0) continue;
    const told = ranked(afterTests(known.byLog, now).odds);
    note(known, told, nowS);
    Object.assign(known, told, { family: FAMILY[told.fault] });
    known.testEvidence = evidenceOfTests(now, told);
  }
}

/** Writes odds that have moved enough into the history. */
function note(known: FindingRecord, told: Chance, atS: number): void {
  const { fault, probability } = told;
  const moved = Math.abs(probability - known.history.at(-1)!.probability) > TOLD_CHANGE;
  if (!moved && known.fault === fault) return;
  known.history.push({ atS, fault, probability });
  // What it was told as first stays, and what it was told as last.
  if (known.history.length > HISTORY_MAX) known.history.splice(1, 1);
}

/** Clears the open finding that a sign raised, when the sign is over. */
export function clear(state: FindingsState, fault: FaultName, nowS: number): void {
  const known = state.all.findLast((f) => (f.by === 'sign' ? f.raisedAs : f.fault) === fault);
  if (known !== undefined && known.by === 'sign' && Number.isNaN(known.clearedS))
    known.clearedS = nowS;
  if (Number.isNaN(state.droppedClearedS[fault])) state.droppedClearedS[fault] = nowS;
}

/** Clears what the runs had shown and show no more. */
export function clearByRuns(
  state: FindingsState,
  nowS: number,
  by: 'runs' | 'start' = 'runs',
): void {
  for (const known of state.all)
    if (known.by === by && Number.isNaN(known.clearedS)) known.clearedS = nowS;
}

export const isOpenBy = (state: FindingsState, by: FindingRecord['by']): boolean =>
  state.all.some((f) => f.by === by && Number.isNaN(f.clearedS));

/** Whether anything is open that is trouble of the well or its sensors, not of time or use. */
export const isTroubled = (state: FindingsState): boolean =>
  state.all.some(
    ({ clearedS, fault, family }) =>
      Number.isNaN(clearedS) && weight(fault) > 0 && family !== 'gap' && family !== 'clock',
  );

export const isOpen = (state: FindingsState, fault: FaultName): boolean =>
  state.all.some((f) => f.fault === fault && Number.isNaN(f.clearedS));

/** Whether pressure is in doubt, or was since a moment; a current that stands still leaves it. */
export const wasPressureInDoubt = ({ all }: FindingsState, sinceS: number): boolean =>
  all.some(
    ({ fault, clearedS, evidence }) =>
      PRESSURE_IN_DOUBT.includes(fault) &&
      !(clearedS < sinceS) &&
      (fault !== 'adc-stuck' || evidence.some(({ unit }) => unit === 'Pa')),
  );

/** The finding of the same trouble that is open, or was until a short while ago. */
function openOf(state: FindingsState, raising: Raising): FindingRecord | null {
  const { by, fault, nowS, sinceS } = raising;
  const atS = by === 'start' ? nowS : sinceS;
  const known = state.all.findLast((f) => {
    if (f.replacedBy !== null) return false;
    const back = Number.isNaN(f.clearedS) || atS - f.clearedS < sameS(fault);
    const alike = by !== 'sign' && (f.by === by || (by === 'start' && f.by === 'runs'));
    if (f.fault === fault || alike) return back;
    if (f.by === 'sign' && by === 'sign' && f.raisedAs === fault) return back;
    return f.family === FAMILY[fault] && Number.isNaN(f.clearedS);
  });
  return known ?? null;
}

/**
 * What many runs have shown silences the signs of the moment that follow from it, all but those
 * that cannot wait and those of the sensors.
 */
function isSilenced(state: FindingsState, raising: Raising): boolean {
  if (raising.by !== 'sign' || cannotWait(raising.fault)) return false;
  // Runs that come and go between readings look as if pressure rose without amps.
  if (raising.fault === 'current-clamp-off' && isFleeting(state)) return true;
  if (!SILENCED.includes(FAMILY[raising.fault])) return false;
  return isOpenBy(state, 'runs') || isOpenBy(state, 'start');
}

const FLEETING: readonly FaultName[] = [
  'sampling-too-slow',
  'tank-isolated',
  'tank-waterlogged',
  'switch-chatter',
];

/** Whether what stands open is, or was named for a while, what makes runs fleeting. */
const isFleeting = ({ all }: FindingsState): boolean =>
  all.some(
    ({ clearedS, fault, history }) =>
      Number.isNaN(clearedS) && [{ fault }, ...history].some((one) => FLEETING.includes(one.fault)),
  );

const SILENCED: readonly Family[] = ['tank', 'lift', 'start', 'pipes'];

function reopen(state: FindingsState, known: FindingRecord, raising: Weighed): void {
  known.clearedS = NaN;
  if (raising.by !== 'sign') change(state, known, raising);
  else for (const one of raising.evidence) renew(known.evidence, one);
}

/** What is seen again takes the place of what was seen of it before, since when it was. */
function renew(evidence: Dated[], one: Dated): void {
  const at = evidence.findIndex(({ says, unit }) => says === one.says && unit === one.unit);
  if (at >= 0) evidence[at] = { ...one, fromS: evidence[at]!.fromS };
  else if (evidence.length < EVIDENCE_MAX) evidence.push(one);
}

function change(state: FindingsState, known: FindingRecord, raising: Weighed): void {
  const { fault, probability, nowS } = raising;
  note(known, raising, nowS);
  for (const other of state.all)
    if (
      other !== known &&
      (other.by === 'runs' || other.fault === fault) &&
      Number.isNaN(other.clearedS)
    )
      Object.assign(other, { clearedS: nowS, replacedBy: known.id });
  known.fault = fault;
  known.family = FAMILY[fault];
  known.by = raising.by;
  known.sinceS = Math.min(known.sinceS, raising.sinceS);
  known.clearedS = NaN;
  known.probability = probability;
  known.instead = raising.instead;
  known.byLog = raising.byLog;
  known.evidence = raising.evidence;
  known.testEvidence = raising.testEvidence;
}

/** Counts a finding that is not listed any more: once, while its trouble goes on. */
function drop(state: FindingsState, { fault, sinceS }: Raising): void {
  const clearedS = state.droppedClearedS[fault];
  if (clearedS === undefined || sinceS - clearedS >= sameS(fault)) state.dropped += 1;
  state.droppedClearedS[fault] = NaN;
}

function replace(state: FindingsState, known: FindingRecord, raising: Weighed): void {
  known.clearedS = raising.nowS;
  const id = add(state, raising);
  known.replacedBy = id;
}

function add(state: FindingsState, raising: Weighed): string | null {
  const { fault, nowS, sinceS } = raising;
  if (state.all.length >= FINDINGS_MAX) {
    drop(state, raising);
    return null;
  }
  // Not by its fault, which it may change as evidence comes.
  const id = `finding-${state.all.length + 1}`;
  state.all.push({
    id,
    fault,
    family: FAMILY[fault],
    by: raising.by,
    raisedAs: raising.raisedAs,
    probability: raising.probability,
    instead: raising.instead,
    byLog: raising.byLog,
    sinceS: Math.min(sinceS, nowS),
    raisedS: nowS,
    clearedS: NaN,
    replacedBy: null,
    evidence: raising.evidence,
    testEvidence: raising.testEvidence,
    history: [{ atS: nowS, fault, probability: raising.probability }],
  });
  return id;
}
