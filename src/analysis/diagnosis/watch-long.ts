import type { Evidence, Moves } from '../../model/study.ts';
import { PSI_PA } from '../../units/table.ts';
import { clear, raise } from './findings.ts';
import { AT_ONCE_S, longRunOdds } from './long-run.ts';
import type { Instant, PlainState } from './plain.ts';

/** A run this long outside a schedule asks for a look (handbook A6: high at two hours). */
const LONG_RUN_S = 7200;
/** Low amps with pressure below cut-in, for this long, are no passing thing (handbook A3). */
const DRY_S = 30;
/** Nothing comes up when pressure has gained no more than this share of the switch band by then. */
const NOTHING_UP = 0.05;
const NOTHING_UP_S = 45;
/** Amps that were good and then fell for so long have not come off the wire. */
const FALLEN_S = 60;
const NO_GAIN_PA = 0.3 * PSI_PA;
/** A pressure that stands still for this long with the pump on is held there by something. */
const STUCK_S = 600;
const STUCK_PA = 0.7 * PSI_PA;
/** Odds of a run that goes on are looked at again after this. */
const AGAIN_S = 1200;
const START_S = 8;
/** A motor that takes less than this share does not run, whatever pressure does. */
const IDLE = 0.2;
/** What the pump did in a longer silence nobody knows. */
const SILENT_S = 1800;
/** What the tank takes at first is known by then. */
const EARLY_S = 90;

/** What is followed of the run in hand, to say why it does not end. */
export interface LongRunState {
  /** The last reading with the pump on. */
  lastS: number;
  startPa: number;
  highPa: number;
  /** Smoothed amps over those expected, and smoothed size of their changes. */
  ratio: number;
  jitter: number;
  lastA: number;
  /** Share of its first minute's delivery that the tank took. */
  earlyShare: number;
  /** How long amps were good before they were low for the first time, s. */
  goodForS: number;
  /** Since when pressure has stood where it stands. */
  stuckPa: number;
  stuckS: number;
  judgedS: number;
  /** Highest pressure since it was judged last: draws come and go. */
  topPa: number;
}

const newLongRun = (now: Instant): LongRunState => ({
  lastS: now.timeS,
  startPa: now.gaugePa,
  highPa: now.gaugePa,
  ratio: NaN,
  jitter: NaN,
  lastA: NaN,
  earlyShare: NaN,
  goodForS: NaN,
  stuckPa: now.gaugePa,
  stuckS: now.timeS,
  judgedS: NaN,
  topPa: now.gaugePa,
});

/** A run that does not end, and a motor that takes too little while pressure does not come. */
export function watchLong(state: PlainState, now: Instant): void {
  if (!now.on) {
    endLong(state, now);
    return;
  }
  if (now.timeS - (state.long?.lastS ?? NaN) > SILENT_S) forgetLong(state);
  if (Number.isNaN(state.runS)) {
    state.runS = now.timeS;
    state.long = newLongRun(now);
  }
  const long = state.long!;
  long.lastS = now.timeS;
  followLong(state, long, now);
  if (now.timeS - state.runS <= EARLY_S) long.earlyShare = now.earlyShare;
  if (Number.isNaN(now.gaugePa)) return;
  const lastedS = now.timeS - state.runS;
  const weakS = now.timeS - state.weakS;
  const dry = isDry(state, long, now);
  const stuck = lastedS > 2 * STUCK_S && now.timeS - long.stuckS > STUCK_S;
  // Stuck below the band is told as dry; heavy use may hold pressure anywhere for a while.
  const held = stuck && now.gaugePa > now.cutInPa + 0.5 * (now.cutOutPa - now.cutInPa);
  if (!dry && !held && lastedS <= LONG_RUN_S) return;
  // A run far past cut-out has been told as that.
  if (state.overTold) return;
  if (now.timeS - long.judgedS < AGAIN_S) return;
  long.judgedS = now.timeS;
  showLong(state, now, lastedS, dry ? weakS : NaN);
  long.topPa = now.gaugePa;
}

/** Low amps and no water: below cut-in, or since the run began, or since amps fell in it. */
function isDry({ runS, weakS, weakPa }: PlainState, long: LongRunState, now: Instant): boolean {
  const { timeS, gaugePa, cutInPa, cutOutPa } = now;
  const forS = timeS - weakS;
  if (!(forS > DRY_S)) return false;
  const rose = (long.highPa - long.startPa) / (cutOutPa - cutInPa);
  return (
    gaugePa < cutInPa - 2 * PSI_PA ||
    (timeS - runS > NOTHING_UP_S && rose < NOTHING_UP) ||
    (weakS - runS > AT_ONCE_S && forS > FALLEN_S && gaugePa < weakPa + NO_GAIN_PA)
  );
}

/** The run in hand is over, or nothing is known of it any more. */
function forgetLong(state: PlainState): void {
  state.runS = NaN;
  state.weakS = NaN;
  state.long = null;
}

function endLong(state: PlainState, now: Instant): void {
  const { long } = state;
  const lastedS = now.timeS - state.runS;
  if (long !== null && lastedS < 1800 && Number.isNaN(state.weakS) && !Number.isNaN(long.jitter))
    state.usualJitter = Number.isNaN(state.usualJitter)
      ? long.jitter
      : state.usualJitter + 0.1 * (long.jitter - state.usualJitter);
  if (lastedS < LONG_RUN_S)
    state.usualRunS = Number.isNaN(state.usualRunS)
      ? lastedS
      : state.usualRunS + 0.1 * (lastedS - state.usualRunS);
  forgetLong(state);
  if (!state.longTold || !(now.gaugePa > now.cutOutPa - 20 * PSI_PA)) return;
  state.longTold = false;
  for (const fault of LONG_FAULTS) clear(state.findings, fault, now.timeS);
}

function followLong(state: PlainState, long: LongRunState, now: Instant): void {
  const { currentA, gaugePa, timeS } = now;
  if (!Number.isNaN(gaugePa)) {
    long.highPa = Math.max(long.highPa, gaugePa);
    long.topPa = Math.max(long.topPa, gaugePa);
    if (Number.isNaN(long.startPa)) long.startPa = gaugePa;
    if (!(Math.abs(gaugePa - long.stuckPa) < STUCK_PA)) {
      long.stuckPa = gaugePa;
      long.stuckS = timeS;
    }
  }
  if (Number.isNaN(currentA)) return;
  const idle = currentA < IDLE * now.expectedA;
  if (idle || !(currentA < (0.92 - now.expectedRelStd) * now.expectedA)) state.weakS = NaN;
  else if (Number.isNaN(state.weakS)) {
    state.weakS = timeS;
    state.weakPa = gaugePa;
    if (Number.isNaN(long.goodForS)) long.goodForS = timeS - state.runS;
  }
  if (timeS - state.runS < START_S) return;
  const ratio = currentA / now.expectedA;
  if (!Number.isNaN(ratio))
    long.ratio = Number.isNaN(long.ratio) ? ratio : long.ratio + 0.1 * (ratio - long.ratio);
  const change = Math.abs(currentA - long.lastA) / currentA;
  if (!Number.isNaN(change))
    long.jitter = Number.isNaN(long.jitter) ? change : long.jitter + 0.1 * (change - long.jitter);
  long.lastA = currentA;
}

const LONG_FAULTS = [
  'running-dry',
  'pump-uncoupled',
  'gas-in-water',
  'cut-out-unreachable',
  'relief-lifting',
  'drop-pipe-parted',
  'leak-burst',
  'heavy-use',
  'switch-welded',
  'unknown-trouble',
] as const;

function showLong(state: PlainState, now: Instant, lastedS: number, dryS: number): void {
  const long = state.long!;
  const band = now.cutOutPa - now.cutInPa;
  const { odds, rival, over } = longRunOdds({
    ampsRatio: long.ratio,
    ampsRelStd: now.expectedRelStd,
    jitterRatio: long.jitter / state.usualJitter,
    position: ((Number.isNaN(dryS) ? long.topPa : now.gaugePa) - now.cutInPa) / band,
    rose: (long.highPa - long.startPa) / band,
    earlyShare: long.earlyShare,
    goodForS: long.goodForS,
    hours: lastedS / 3600,
  });
  const [first, ...rest] = odds;
  if (first!.fault === 'heavy-use' && now.knownUse) return;
  const movesBy = (logOverRival: number): Moves => ({
    fault: first!.fault,
    logOverSound: null,
    rival,
    logOverRival: rival === null ? null : logOverRival,
  });
  const evidence = (says: string, unit: string, seen: [number, number, number]): Evidence => ({
    says,
    observed: seen[0],
    expected: Number.isNaN(seen[1]) ? null : seen[1],
    expectedStd: null,
    unit,
    moves: movesBy(seen[2]),
  });
  state.longTold = true;
  raise(state.findings, {
    fault: first!.fault,
    by: 'sign',
    probability: first!.probability,
    instead: rest.filter(({ probability }) => probability > 0),
    sinceS: Number.isNaN(dryS) ? state.runS : now.timeS - dryS,
    nowS: now.timeS,
    evidence: [
      evidence('the pump has been running without a stop', 's', [
        lastedS,
        state.usualRunS,
        over.hours,
      ]),
      evidence('pressure meanwhile stands at', 'Pa', [now.gaugePa, now.cutOutPa, over.pressure]),
      evidence('the motor takes', 'A', [now.currentA, now.expectedA, over.amps]),
    ].filter(({ observed, expected }) => !Number.isNaN(observed) && !Number.isNaN(expected ?? 0)),
  });
}
