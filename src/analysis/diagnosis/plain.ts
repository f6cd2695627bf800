import type { FaultName } from '../../model/faults.ts';
import type { Moves } from '../../model/study.ts';
import { PSI_PA } from '../../units/table.ts';
import type { SignalEventDetail, SignalEventKind } from '../signal/signal.ts';
import { type Chance, reweighed } from './chances.ts';
import { PRESSURE_IN_DOUBT } from './families.ts';
import {
  clear,
  createFindings,
  type FindingsState,
  isOpen,
  raise,
  wasPressureInDoubt,
} from './findings.ts';
import { createLongFlow, type LongFlow, watchLongFlow } from './long-flow.ts';
import { noWaterOdds } from './no-water-odds.ts';
import { type SignFault, signOdds } from './plain-odds.ts';
import { inSeason } from './season.ts';
import { type LongRunState, watchLong } from './watch-long.ts';

/**
 * What needs no baseline: faults of sensing, and what is wrong on any well from the first minute
 * (handbook E.2, A1, A2, A5, A7, A16; delays as there). Odds say how often the plain sign means
 * something else; telling faults apart by their evidence is not done here.
 */
export interface PlainState {
  findings: FindingsState;
  noWaterS: number;
  /** When the amps were last told to be nothing meanwhile. */
  noAmpsS: number;
  /** Start of the last time without water that was told, of the one before, nights in a row. */
  noWaterTold: number;
  lastNoWaterS: number;
  noWaterNights: number;
  stalledS: number;
  /** The last stall that was told, and whether the motor has run since; NaN and false before. */
  lastStallS: number;
  ranSince: boolean;
  stallsInRow: number;
  /** The stall in hand is one of several, with runs between them. */
  stallsAtTimes: boolean;
  overS: number;
  /** What was told and has not been cleared: too much pressure, a run without end. */
  overTold: boolean;
  longTold: boolean;
  /** Channels of which the converter is stuck now. */
  stuck: { pressure: boolean; current: boolean };
  /** The last pressure, and since when it stands above a level that it sprang over, pump off. */
  gaugePa: number;
  gaugeS: number;
  sprungS: number;
  sprungOverPa: number;
  /** Starts of the last ten minutes. */
  starts: number[];
  /** Since when the run in hand goes on; since when its amps are low, and pressure then. */
  runS: number;
  weakS: number;
  weakPa: number;
  long: LongRunState | null;
  flow: LongFlow;
  /** How much amps change from reading to reading in usual runs, over themselves. */
  usualJitter: number;
  /** How long a usual run lasts, s; NaN before any. */
  usualRunS: number;
  /** Months since the middle of winter at the last run; NaN where not known. */
  monthsFromWinter: number;
  /** What the device said last of the room and of the supply, and when; NaN where it does not. */
  airK: number;
  mainsV: number;
  mainsS: number;
}

export function createPlain(): PlainState {
  return {
    findings: createFindings(),
    noWaterS: NaN,
    noAmpsS: NaN,
    noWaterTold: NaN,
    lastNoWaterS: NaN,
    noWaterNights: 0,
    stalledS: NaN,
    lastStallS: NaN,
    ranSince: false,
    stallsInRow: 0,
    stallsAtTimes: false,
    overS: NaN,
    overTold: false,
    longTold: false,
    stuck: { pressure: false, current: false },
    gaugePa: NaN,
    gaugeS: NaN,
    sprungS: NaN,
    sprungOverPa: NaN,
    starts: [],
    runS: NaN,
    weakS: NaN,
    weakPa: NaN,
    long: null,
    flow: createLongFlow(),
    usualJitter: NaN,
    usualRunS: NaN,
    monthsFromWinter: NaN,
    airK: NaN,
    mainsV: NaN,
    mainsS: NaN,
  };
}

interface Sign {
  fault: SignFault;
  sinceS: number;
  nowS: number;
  says: string;
  observed: number;
  expected: number | null;
  unit: string;
  /** What it cannot be here, though the sign may mean it elsewhere. */
  not?: FaultName;
}

/** What was said of the supply longer ago says nothing of now, s. */
const MAINS_OLD_S = 120;

function show(state: PlainState, sign: Sign): void {
  const usual = reweighed(signOdds(sign.fault), (fault) => (fault === sign.not ? 0 : 1)).filter(
    ({ probability }) => probability > 0,
  );
  // Both end together, so that it does not matter by which of them it goes.
  const isDry = sign.fault === 'switch-no-start' || sign.fault === 'frozen';
  const { airK } = state;
  const mainsV = sign.nowS - state.mainsS < MAINS_OLD_S ? state.mainsV : NaN;
  const [first, ...instead] = isDry
    ? noWaterOdds(inSeason(usual, state.monthsFromWinter), { airK, mainsV })
    : usual;
  raise(state.findings, {
    fault: first!.fault,
    by: 'sign',
    probability: first!.probability,
    instead,
    sinceS: sign.sinceS,
    nowS: sign.nowS,
    evidence: [
      {
        says: sign.says,
        observed: sign.observed,
        expected: sign.expected,
        expectedStd: null,
        unit: sign.unit,
        moves: movesOfSign(first!, instead),
      },
    ],
  });
}

/** A sign that no sound well shows parts faults by how often it means the one or the other. */
function movesOfSign(first: Chance, instead: readonly Chance[]): Moves {
  const rival = instead.find(({ fault }) => fault !== 'unknown-trouble') ?? null;
  return {
    fault: first.fault,
    logOverSound: null,
    rival: rival?.fault ?? null,
    logOverRival: rival === null ? null : Math.log(first.probability / rival.probability),
  };
}

const CHANNELS_JUDGED = ['pressure', 'current'] as const;

/** A fault that the signal stage met. */
export function signalTrouble(
  state: PlainState,
  kind: SignalEventKind,
  timeS: number,
  detail: SignalEventDetail,
): void {
  const judged = CHANNELS_JUDGED[detail.channel ?? -1];
  const { stuck } = state;
  if (kind === 'adc-stuck' && judged !== undefined) stuck[judged] = detail.phase === 'begins';
  if (detail.phase === 'ends') {
    // One finding tells of both channels.
    const goesOn = kind === 'adc-stuck' && (stuck.pressure || stuck.current);
    if (!goesOn) clear(state.findings, kind, timeS);
    return;
  }
  const channel = judged ?? 'a channel';
  const words: Record<SignalEventKind, string> = {
    'pressure-wire-open': 'the pressure signal lies below anything the sensor can say',
    'pressure-wire-short': 'the pressure signal lies above anything the sensor can say',
    'adc-stuck': `${channel} repeats one value to the last digit while the other moves`,
    'clock-jump': 'the clock of the device jumped',
  };
  const clock = kind === 'clock-jump';
  const unit = clock ? 's' : detail.channel === 1 ? 'A' : 'Pa';
  const sign = {
    fault: kind,
    sinceS: timeS,
    nowS: timeS,
    says: words[kind],
    // Of a current no port of the pressure sensor is plugged.
    ...(detail.channel === 1 ? { not: 'pressure-port-plugged' as const } : {}),
  };
  show(state, { ...sign, observed: detail.value, expected: clock ? 0 : null, unit });
  if (clock) clear(state.findings, kind, timeS);
}

/** Half an hour without pressure readings is worth a word. */
const GAP_TOLD_S = 1800;

export function gapTrouble(state: PlainState, fromS: number, toS: number): void {
  // Readings that stand still are set aside: that is no silence of the device.
  if (toS - fromS < GAP_TOLD_S || wasPressureInDoubt(state.findings, fromS)) return;
  const says = 'no readings came for this long';
  const sign = { fault: 'data-gap' as const, sinceS: fromS, nowS: toS, says };
  show(state, { ...sign, observed: toS - fromS, expected: 0, unit: 's' });
  clear(state.findings, 'data-gap', toS);
}

const DAY_S = 86_400;
const UNSEEN_RUNS = 2;
const UNSEEN_MANY = 6;

/** Runs that pressure shows while the amps stay at nothing. */
export function unseenRuns(state: PlainState, runs: number, startS: number, nowS: number): void {
  if (runs === 0) clear(state.findings, 'current-clamp-off', nowS);
  // A clamp that had told a run a while ago is not off: runs fell between its readings.
  const seenLately = state.findings.all.some(
    ({ fault, clearedS }) => fault === 'current-clamp-off' && startS - clearedS < DAY_S,
  );
  if (runs < (seenLately ? UNSEEN_MANY : UNSEEN_RUNS)) return;
  show(state, {
    fault: 'current-clamp-off',
    sinceS: startS,
    nowS,
    says: 'pressure rose as it does when the pump runs, and the current stayed at nothing',
    observed: runs,
    expected: 0,
    unit: 'runs',
  });
}

const STARTS_S = 600;
const STARTS_MANY = 6;

/** A start of the pump (handbook A7: six in ten minutes). */
export function noteStart(
  state: PlainState,
  startS: number,
  nowS: number,
  runsAreShort = true,
): void {
  // A motor that stalls tries again and again: the tank has no part in it.
  if (isOpen(state.findings, 'rotor-locked')) return;
  state.starts.push(startS);
  while (state.starts.length > 0 && startS - state.starts[0]! > STARTS_S) state.starts.shift();
  if (state.starts.length >= STARTS_MANY && runsAreShort)
    show(state, {
      fault: 'tank-waterlogged',
      sinceS: state.starts[0]!,
      nowS,
      says: 'the pump started this often within ten minutes',
      observed: state.starts.length,
      expected: 2,
      unit: 'starts',
    });
}

export interface Instant {
  timeS: number;
  gaugePa: number;
  currentA: number;
  on: boolean;
  /** The keeper makes a test with the breaker off: no water is no sign then. */
  atTest: boolean;
  /** Whether amps come and can be trusted. */
  ampsKnown: boolean;
  cutInPa: number;
  /** Below this the switch has not left its pump off so far; NaN until known. */
  startsByPa: number;
  cutOutPa: number;
  usualA: number;
  /** Amps to be expected at this pressure, and how surely; NaN until known. */
  expectedA: number;
  /** Water is used by plan. */
  knownUse: boolean;
  /** Of the run in hand, see LongRun; NaN where not known. */
  earlyShare: number;
  expectedRelStd: number;
  /** When water last stood still, NaN before it was seen to; when the last silence ended. */
  stillS: number;
  heardS: number;
}

/** Takes every row: what is plainly wrong at this moment. */
export function watchPlain(state: PlainState, now: Instant): void {
  const doubt = now.atTest || isPressureInDoubt(state);
  if (!doubt) watchNoWater(state, now);
  watchStalled(state, now);
  watchSprung(state, now);
  if (doubt) {
    state.noWaterS = NaN;
    state.overS = NaN;
    return;
  }
  watchOver(state, now);
  watchLong(state, now);
  if (!Number.isNaN(now.gaugePa)) watchLongFlow(state.flow, state.findings, now);
  const last = state.starts[state.starts.length - 1];
  if (last !== undefined && now.timeS - last > DAY_S) {
    state.starts = [];
    clear(state.findings, 'tank-waterlogged', now.timeS);
  }
}

/** A current that stands still leaves pressure to be believed. */
function isPressureInDoubt({ findings, stuck }: PlainState): boolean {
  if (findings.all.length === 0) return false;
  return PRESSURE_IN_DOUBT.some(
    (fault) => isOpen(findings, fault) && (fault !== 'adc-stuck' || stuck.pressure),
  );
}

const FAR_BELOW_PA = 10 * PSI_PA;
const FAR_BELOW_S = 20;
/** Just below cut-in the amps must have been told since, for the next may show the pump on. */
const BELOW_S = 75;
const TOLD_SINCE_S = 20;
/** A pump that has run for so long has started. */
const STARTED_S = 30;

function watchNoWater(state: PlainState, now: Instant): void {
  if (Number.isNaN(now.gaugePa)) return;
  const isFar = now.gaugePa < now.cutInPa - FAR_BELOW_PA;
  const isBelow = isFar || now.gaugePa < now.startsByPa;
  if (!isBelow || !now.ampsKnown || now.on) {
    const isBack = now.gaugePa > now.cutInPa || (now.on && now.timeS - state.runS > STARTED_S);
    if (isBack && !Number.isNaN(state.noWaterTold)) {
      state.lastNoWaterS = state.noWaterTold;
      state.noWaterTold = NaN;
      clear(state.findings, 'switch-no-start', now.timeS);
      clear(state.findings, 'frozen', now.timeS);
      clear(state.findings, 'power-out', now.timeS);
    }
    state.noWaterS = NaN;
    return;
  }
  if (Number.isNaN(state.noWaterS)) state.noWaterS = now.timeS;
  if (!Number.isNaN(now.currentA)) state.noAmpsS = now.timeS;
  const isTold = isFar || state.noAmpsS > state.noWaterS + TOLD_SINCE_S;
  if (!isTold || now.timeS - state.noWaterS < (isFar ? FAR_BELOW_S : BELOW_S)) return;
  // What fails at the same hour of the next day and comes back by itself is the cold of the night.
  const again = state.noWaterS - state.lastNoWaterS;
  const nightly = again > 18 * 3600 && again < 30 * 3600;
  if (!nightly) state.noWaterNights = 0;
  else if (state.noWaterTold !== state.noWaterS) state.noWaterNights += 1;
  state.noWaterTold = state.noWaterS;
  show(state, {
    fault: state.noWaterNights > 0 ? 'frozen' : 'switch-no-start',
    sinceS: state.noWaterS,
    nowS: now.timeS,
    says: `pressure lies ${isFar ? 'far ' : ''}below cut-in and the pump takes no current`,
    observed: now.gaugePa,
    expected: now.cutInPa,
    unit: 'Pa',
  });
}

const STALLED_S = 1.5;
const STALLED_OFTEN_S = 5;
const STARTS_OFTEN = 4;
/** A motor that has run for so long turns. */
const RUNS_S = 30;
/** So many stalls without a run between them are no passing weakness. */
const STALLS_LOCKED = 4;
/** Stalls further apart than this have nothing to do with each other. */
const STALLS_APART_S = 7 * 86_400;

function watchStalled(state: PlainState, now: Instant): void {
  if (Number.isNaN(now.currentA)) return;
  if (!(now.currentA > 2.5 * now.usualA)) {
    state.stalledS = NaN;
    noteRunning(state, now);
    return;
  }
  if (Number.isNaN(state.stalledS)) state.stalledS = now.timeS;
  // Where starts follow one another, two of them may look like one that goes on.
  const often = state.starts.length >= STARTS_OFTEN;
  if (now.timeS - state.stalledS < (often ? STALLED_OFTEN_S : STALLED_S)) return;
  if (!(state.lastStallS >= state.stalledS)) {
    state.stallsInRow += 1;
    // A rotor that has turned since it stalled last is not locked: it fails to start at times.
    state.stallsAtTimes = state.ranSince && state.stallsInRow < STALLS_LOCKED;
  }
  state.lastStallS = now.timeS;
  show(state, {
    fault: state.stallsAtTimes ? 'start-circuit-weak' : 'rotor-locked',
    sinceS: state.stalledS,
    nowS: now.timeS,
    says: 'the motor went on taking its starting current',
    observed: now.currentA,
    expected: now.usualA,
    unit: 'A',
  });
}

/** A motor that runs as usual: its rotor is not locked, nor has it stalled for long. */
function noteRunning(state: PlainState, now: Instant): void {
  if (Number.isNaN(state.lastStallS) || !now.on) return;
  if (!(now.timeS - state.runS >= RUNS_S)) return;
  state.stallsInRow = 0;
  state.ranSince = true;
  clear(state.findings, 'rotor-locked', now.timeS);
  if (now.timeS - state.lastStallS < STALLS_APART_S) return;
  state.lastStallS = NaN;
  state.ranSince = false;
  clear(state.findings, 'start-circuit-weak', now.timeS);
}

const SPRUNG_OVER_PA = 40 * PSI_PA;
const SPRUNG_WITHIN_S = 60;
const SPRUNG_TOLD_S = 10;

/**
 * Pressure that springs from one reading to the next far above cut-out, and stays, with the pump
 * off: no water does that, a signal line does.
 */
function watchSprung(state: PlainState, now: Instant): void {
  if (Number.isNaN(now.gaugePa)) return;
  const { gaugePa: beforePa, gaugeS: beforeS } = state;
  state.gaugePa = now.gaugePa;
  state.gaugeS = now.timeS;
  const overPa = now.cutOutPa + SPRUNG_OVER_PA;
  if (Number.isNaN(state.sprungS)) {
    const near = beforePa < now.cutOutPa + 10 * PSI_PA && now.timeS - beforeS < SPRUNG_WITHIN_S;
    if (!near || now.on || !(now.gaugePa > overPa)) return;
    state.sprungS = now.timeS;
    state.sprungOverPa = overPa;
  } else if (now.gaugePa < state.sprungOverPa) {
    state.sprungS = NaN;
    clear(state.findings, 'pressure-wire-short', now.timeS);
  } else if (now.timeS - state.sprungS >= SPRUNG_TOLD_S)
    show(state, {
      fault: 'pressure-wire-short',
      sinceS: state.sprungS,
      nowS: now.timeS,
      says: 'pressure sprang far above cut-out with the pump off, and stayed there',
      observed: now.gaugePa,
      expected: now.cutOutPa,
      unit: 'Pa',
    });
}

function watchOver(state: PlainState, now: Instant): void {
  if (Number.isNaN(now.gaugePa) || !Number.isNaN(state.sprungS)) return;
  const over = now.on && now.gaugePa > now.cutOutPa + 10 * PSI_PA;
  if (!over) {
    state.overS = NaN;
    if (state.overTold && now.gaugePa < now.cutOutPa + 5 * PSI_PA) {
      state.overTold = false;
      clear(state.findings, 'switch-welded', now.timeS);
    }
    return;
  }
  if (Number.isNaN(state.overS)) state.overS = now.timeS;
  if (now.timeS - state.overS < 3) return;
  state.overTold = true;
  show(state, {
    fault: 'switch-welded',
    sinceS: state.overS,
    nowS: now.timeS,
    says: 'the pump ran on with pressure far above cut-out',
    observed: now.gaugePa,
    expected: now.cutOutPa,
    unit: 'Pa',
  });
}
