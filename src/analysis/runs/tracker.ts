import { PSI_PA } from '../../units/table.ts';
import {
  createDoubtedRise,
  currentIsTrusted,
  type DoubtedRise,
  isRunAfterAll,
  noteCutOut,
} from './doubted-rise.ts';
import { createEarlyAmps, type EarlyAmps, keepEarly } from './early-amps.ts';
import { createNoise, type Noise, stepNoise } from './noise.ts';
import { createOnThreshold, learnOnThreshold, type OnThreshold } from './on-threshold.ts';
import { breakRise, createRise, type Rise, stepRise } from './rise.ts';

/** Everything the sensors said at one instant; NaN where a channel was silent. */
export interface Row {
  timeS: number;
  /** Pa absolute. */
  pressurePa: number;
  currentA: number;
}

/** A run as the readings bound it: it began after `startFromS` and not later than `startToS`. */
export interface TrackedRun {
  startFromS: number;
  startToS: number;
  stopFromS: number;
  stopToS: number;
  foundBy: 'current' | 'pressure';
  begun: 'seen' | 'log-start' | 'gap';
  ended: 'seen' | 'gap' | 'log-end';
  /** Pauses of under 5 s inside the run, the first 32: from, to. */
  pauses: number[];
  breaks: number;
  /** When the last pause ended; NaN without one. */
  lastResumeS: number;
  chargeAs: number;
  currentS: number;
  peakA: number;
  /** Found from pressure, while a current that stood by said "off" all through. */
  currentSaidOff: boolean;
}

/**
 * How the current comes. A device that reports on change keeps silent while nothing changes, so
 * its first reading of "on" is the start itself, however long ago the last "off" was.
 */
export interface CurrentReporting {
  onChange: boolean;
}

export interface RunSink {
  opened(run: TrackedRun): void;
  closed(run: TrackedRun): void;
}

/** Bursts closer than this are one run (design, section 6). */
const ONE_RUN_S = 5;
const PAUSES_KEPT = 32;
/** The first seconds of a run carry the inrush and say nothing of the running amps. */
const INRUSH_S = 2;
/** Where pressure saw a run end, the next reading of the current is waited for this many steps. */
const DUE_STEPS = 1.5;

export interface TrackerState {
  threshold: OnThreshold;
  rise: Rise;
  /** The rise in hand is that of a run which the current has seen the end of. */
  riseIsTold: boolean;
  /** Pressure when the current first said off in the rise in hand [Pa absolute]. */
  deniedPa: number;
  doubt: DoubtedRise;
  pressureNoise: Noise;
  runningNoise: Noise;
  lastCurrentS: number;
  lastCurrentOn: boolean;
  lastCurrentA: number;
  /** A log may begin with the pump on, and before it is known what "on" is. */
  firstCurrentS: number;
  early: EarlyAmps;
  /** Shortest time between two current readings so far: how finely the device looks. */
  finestS: number;
  lastOnS: number;
  firstOffS: number;
  open: TrackedRun | null;
  lastStopS: number;
  /** Pressure at which the switch starts the pump, as the amps showed it [Pa absolute]. */
  cutInPa: number;
  lastPressurePa: number;
  /** When pressure was last clearly above that, now and as it stood at the lowest pressure. */
  aboveCutInS: number;
  aboveAtLowestS: number;
}

export function createTracker(): TrackerState {
  return {
    threshold: createOnThreshold(),
    rise: createRise(),
    riseIsTold: false,
    deniedPa: NaN,
    doubt: createDoubtedRise(),
    pressureNoise: createNoise(500),
    runningNoise: createNoise(1000),
    lastCurrentS: NaN,
    lastCurrentOn: false,
    lastCurrentA: NaN,
    firstCurrentS: NaN,
    early: createEarlyAmps(),
    finestS: Infinity,
    lastOnS: NaN,
    firstOffS: NaN,
    open: null,
    lastStopS: -Infinity,
    cutInPa: NaN,
    lastPressurePa: NaN,
    aboveCutInS: NaN,
    aboveAtLowestS: NaN,
  };
}

/** Takes a row; tells of runs that opened or closed. */
export function stepTracker(
  state: TrackerState,
  row: Row,
  sink: RunSink,
  how: CurrentReporting = { onChange: false },
): void {
  closeWhenQuiet(state, row.timeS, sink);
  if (!Number.isNaN(row.currentA)) stepCurrent(state, row, sink, how);
  if (!Number.isNaN(row.pressurePa)) stepPressure(state, row, sink);
}

/** No current from here on: a run that it had shown ends where it was last seen. */
export function currentGap(state: TrackerState, sink: RunSink): void {
  if (state.open?.foundBy === 'current' && !closeIfOff(state, sink))
    close(state, sink, 'gap', state.lastOnS, state.lastOnS);
  state.lastCurrentS = NaN;
  state.lastCurrentOn = false;
  state.early = createEarlyAmps();
}

/** No pressure from here on: what it had shown of a run ends where it was last seen. */
export function pressureGap(state: TrackerState, sink: RunSink): void {
  if (state.open?.foundBy === 'pressure' && !closeIfOff(state, sink))
    close(state, sink, 'gap', state.rise.lastS, state.rise.lastS);
  breakRise(state.rise);
}

/** The end of a log: a run still on ends with it. */
export function endTracker(state: TrackerState, lastS: number, sink: RunSink): void {
  if (!closeIfOff(state, sink)) close(state, sink, 'log-end', lastS, lastS);
}

/** Whether the pump is on now, as far as the last reading tells. */
export function pumpIsOn(state: TrackerState): boolean {
  return state.open !== null && Number.isNaN(state.firstOffS);
}

function stepCurrent(state: TrackerState, row: Row, sink: RunSink, how: CurrentReporting): void {
  const sinceS = row.timeS - state.lastCurrentS;
  if (sinceS > 0 && sinceS < state.finestS) state.finestS = sinceS;
  const heldS = how.onChange ? Math.max(state.finestS, 1) : Infinity;
  const unknown = Number.isNaN(state.threshold.thresholdA);
  learnOnThreshold(state.threshold, row.currentA);
  if (unknown) takeEarly(state, row, sink, heldS);
  takeCurrent(state, row, sink, heldS);
}

/**
 * Before the threshold is known nothing can be said of on and off: readings wait until it is, and
 * are taken then, but for what pressure has told of meanwhile.
 */
function takeEarly(state: TrackerState, row: Row, sink: RunSink, heldS: number): void {
  if (Number.isNaN(state.firstCurrentS)) state.firstCurrentS = row.timeS;
  if (Number.isNaN(state.threshold.thresholdA)) {
    keepEarly(state.early, row.timeS, row.currentA);
    return;
  }
  const { timeS, currentA } = state.early;
  const { lastPressurePa } = state;
  const fromS = state.open?.startFromS ?? -Infinity;
  state.lastCurrentS = NaN;
  // The pressure of now is not that of then.
  state.lastPressurePa = NaN;
  for (const [i, earlyS] of timeS.entries()) {
    closeWhenQuiet(state, earlyS, sink);
    if (earlyS <= state.lastStopS || earlyS < fromS) state.lastCurrentS = earlyS;
    else
      takeCurrent(state, { timeS: earlyS, currentA: currentA[i]!, pressurePa: NaN }, sink, heldS);
  }
  closeWhenQuiet(state, row.timeS, sink);
  state.lastPressurePa = lastPressurePa;
  state.early = createEarlyAmps();
}

function takeCurrent(state: TrackerState, row: Row, sink: RunSink, heldS: number): void {
  const on = row.currentA > state.threshold.thresholdA;
  if (on) seenOn(state, row, sink, heldS);
  else seenOff(state, row, sink, heldS);
  state.lastCurrentS = row.timeS;
  state.lastCurrentOn = on;
  state.lastCurrentA = row.currentA;
}

function seenOn(state: TrackerState, row: Row, sink: RunSink, heldS: number): void {
  if (state.open === null) {
    noteCutIn(state);
    open(state, sink, startedByCurrent(state, row.timeS, heldS));
  } else if (state.open.foundBy === 'pressure') adopt(state, state.open);
  else if (!Number.isNaN(state.firstOffS)) resume(state, state.open, row.timeS);
  if (state.open !== null) addAmps(state, state.open, row);
  state.lastOnS = row.timeS;
}

function seenOff(state: TrackerState, row: Row, sink: RunSink, heldS: number): void {
  if (state.open?.foundBy === 'pressure') closeIfOff(state, sink);
  if (state.open?.foundBy !== 'current' || !Number.isNaN(state.firstOffS)) return;
  state.firstOffS = row.timeS;
  noteCutOut(state.doubt, state.lastPressurePa);
  state.lastOnS = Math.max(state.lastOnS, row.timeS - heldS);
}

/** Pressure was the first to see the run. Now the current shows it too, and will show its end. */
function adopt(state: TrackerState, run: TrackedRun): void {
  run.foundBy = 'current';
  run.currentSaidOff = false;
  state.firstOffS = NaN;
  if (state.lastCurrentS < run.startToS)
    run.startFromS = Math.max(run.startFromS, state.lastCurrentS);
}

function noteCutIn(state: TrackerState): void {
  const seen = state.lastPressurePa;
  if (Number.isNaN(seen)) return;
  state.cutInPa = Number.isNaN(state.cutInPa) ? seen : state.cutInPa + 0.1 * (seen - state.cutInPa);
}

function startedByCurrent(state: TrackerState, timeS: number, heldS: number): TrackedRun {
  const known = !Number.isNaN(state.lastCurrentS);
  const from = known ? Math.max(state.lastCurrentS, state.lastStopS, timeS - heldS) : timeS;
  const unseen = timeS === state.firstCurrentS ? 'log-start' : 'gap';
  return newRun(from, timeS, 'current', known ? 'seen' : unseen);
}

function newRun(
  startFromS: number,
  startToS: number,
  foundBy: TrackedRun['foundBy'],
  begun: TrackedRun['begun'],
): TrackedRun {
  return {
    startFromS,
    startToS,
    stopFromS: NaN,
    stopToS: NaN,
    foundBy,
    begun,
    ended: 'seen',
    pauses: [],
    breaks: 0,
    lastResumeS: NaN,
    chargeAs: 0,
    currentS: 0,
    peakA: 0,
    currentSaidOff: false,
  };
}

function open(state: TrackerState, sink: RunSink, run: TrackedRun): void {
  state.open = run;
  state.firstOffS = NaN;
  sink.opened(run);
}

function resume(state: TrackerState, run: TrackedRun, timeS: number): void {
  run.breaks += 1;
  run.lastResumeS = timeS;
  if (run.pauses.length < 2 * PAUSES_KEPT)
    run.pauses.push((state.lastOnS + state.firstOffS) / 2, timeS);
  state.firstOffS = NaN;
}

function addAmps(state: TrackerState, run: TrackedRun, row: Row): void {
  run.peakA = Math.max(run.peakA, row.currentA);
  if (!state.lastCurrentOn || state.lastCurrentS - run.startToS < INRUSH_S) return;
  const stepS = row.timeS - state.lastCurrentS;
  run.chargeAs += stepS * (0.5 * (row.currentA + state.lastCurrentA));
  run.currentS += stepS;
}

function closeWhenQuiet(state: TrackerState, timeS: number, sink: RunSink): void {
  const quiet =
    state.open?.foundBy === 'pressure'
      ? !currentIsDue(state, timeS)
      : timeS - state.firstOffS >= ONE_RUN_S;
  if (quiet) closeIfOff(state, sink);
}

/** Whether the current has not spoken since pressure turned, but soon will. */
function currentIsDue(state: TrackerState, timeS: number): boolean {
  const { lastCurrentS, finestS } = state;
  const waited = timeS <= lastCurrentS + DUE_STEPS * finestS;
  return Number.isFinite(finestS) && lastCurrentS < state.firstOffS && waited;
}

/** Closes the run if it was seen to go off; says whether it was. */
function closeIfOff(state: TrackerState, sink: RunSink): boolean {
  if (Number.isNaN(state.firstOffS)) return false;
  close(state, sink, 'seen', state.lastOnS, state.firstOffS);
  return true;
}

function close(
  state: TrackerState,
  sink: RunSink,
  ended: TrackedRun['ended'],
  stopFromS: number,
  stopToS: number,
): void {
  const run = state.open;
  if (run === null) return;
  run.ended = ended;
  run.stopFromS = stopFromS;
  run.stopToS = stopToS;
  state.open = null;
  state.firstOffS = NaN;
  state.lastStopS = stopToS;
  state.doubt.shown = run.foundBy === 'current' ? state.doubt.shown + 1 : 0;
  // What is left of a rise that goes on is no run of its own; one that pressure ended is over.
  const seenByCurrent = run.foundBy === 'current' && ended === 'seen';
  state.riseIsTold = seenByCurrent && state.rise.rising;
  if (!state.riseIsTold && !(run.foundBy === 'pressure' && ended === 'seen')) breakRise(state.rise);
  sink.closed(run);
}

/** Pressure this far above the cut-in is clearly above it. */
const ABOVE_CUT_IN_PA = 0.75 * PSI_PA;
/** Use that takes just what the pump gives does not go on for longer. */
const HELD_S = 60;

function stepPressure(state: TrackerState, row: Row, sink: RunSink): void {
  const on = state.open !== null;
  stepNoise(on ? state.runningNoise : state.pressureNoise, row.timeS, row.pressurePa);
  if (state.rise.rising && !state.riseIsTold && isDoubted(state)) openAfterAll(state, row, sink);
  const change = stepRise(state.rise, row.timeS, row.pressurePa, state.pressureNoise.std);
  if (change === 'began') riseBegan(state, row, sink);
  if (change === 'ended') riseEnded(state, row, sink);
  noteDenial(state, row);
  state.lastPressurePa = row.pressurePa;
  if (!on && !(row.pressurePa < state.cutInPa + ABOVE_CUT_IN_PA)) state.aboveCutInS = row.timeS;
  if (state.rise.lowestS === row.timeS) state.aboveAtLowestS = state.aboveCutInS;
}

function riseBegan(state: TrackerState, row: Row, sink: RunSink): void {
  state.doubt.high = 0;
  if (state.open?.foundBy === 'pressure') closeIfOff(state, sink);
  if (isDoubted(state)) openAfterAll(state, row, sink);
  else if (state.open === null) open(state, sink, startedByPressure(state, row));
}

function riseEnded(state: TrackerState, row: Row, sink: RunSink): void {
  state.riseIsTold = false;
  if (state.open?.foundBy !== 'pressure') return;
  state.lastOnS = state.rise.highestS;
  state.firstOffS = state.rise.afterHighestS;
  closeWhenQuiet(state, row.timeS, sink);
}

/** Pressure that rises this much more after an "off" shows that the current sees no run. */
const DENIED_PA = 1 * PSI_PA;

/**
 * An "off" between two readings of pressure, or with the highest of them, denies nothing: the run
 * may have been over by then.
 */
function noteDenial(state: TrackerState, row: Row): void {
  const { rise, open: run, deniedPa } = state;
  if (Number.isNaN(rise.afterLowS)) state.deniedPa = NaN;
  else if (Number.isNaN(deniedPa)) {
    if (saysOff(state) && state.lastCurrentS >= rise.afterLowS) state.deniedPa = row.pressurePa;
  } else if (run?.foundBy === 'pressure') {
    const clearlyPa = Math.max(DENIED_PA, 5 * state.pressureNoise.std);
    if (row.pressurePa - deniedPa > clearlyPa) run.currentSaidOff = true;
  }
}

/** Whether a current that has shown the last runs says off. */
const isDoubted = (state: TrackerState): boolean =>
  state.open === null && saysOff(state) && currentIsTrusted(state.doubt, state.cutInPa);

function openAfterAll(state: TrackerState, row: Row, sink: RunSink): void {
  const { doubt, rise, cutInPa } = state;
  if (isRunAfterAll(doubt, cutInPa, rise.lowestPa, row.pressurePa))
    open(state, sink, startedByPressure(state, row));
}

/** Whether a current stands by and says off. */
const saysOff = (state: TrackerState): boolean =>
  !Number.isNaN(state.lastCurrentS) && !state.lastCurrentOn;

/**
 * It began where pressure was last hardly above its lowest, or before, if heavy use held pressure
 * at the cut-in for a while.
 */
function startedByPressure(state: TrackerState, row: Row): TrackedRun {
  const { rise } = state;
  const held = Number.isNaN(state.cutInPa) ? Infinity : state.aboveAtLowestS;
  const early = Math.min(rise.beforeLowestS, Number.isNaN(held) ? Infinity : held);
  const known = Number.isFinite(early) ? early : rise.lowestS;
  const fromS = Math.max(known, rise.lastLowS - HELD_S, state.lastStopS);
  const run = newRun(fromS, row.timeS, 'pressure', 'seen');
  run.startToS = Math.max(Number.isNaN(rise.afterLowS) ? row.timeS : rise.afterLowS, fromS);
  return run;
}
