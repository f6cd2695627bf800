import { PSI_PA } from '../../units/table.ts';
import {
  createDoubtedRise,
  currentIsTrusted,
  type DoubtedRise,
  isRunAfterAll,
  noteCutOut,
} from './doubted-rise.ts';
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

export interface TrackerState {
  threshold: OnThreshold;
  rise: Rise;
  doubt: DoubtedRise;
  pressureNoise: Noise;
  runningNoise: Noise;
  lastCurrentS: number;
  lastCurrentOn: boolean;
  lastCurrentA: number;
  /** The first current reading, and the lowest so far: a log may begin with the pump on. */
  firstCurrentS: number;
  lowestA: number;
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
    doubt: createDoubtedRise(),
    pressureNoise: createNoise(500),
    runningNoise: createNoise(1000),
    lastCurrentS: NaN,
    lastCurrentOn: false,
    lastCurrentA: NaN,
    firstCurrentS: NaN,
    lowestA: Infinity,
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
}

/** No pressure from here on: what it had shown of a run ends where it was last seen. */
export function pressureGap(state: TrackerState, sink: RunSink): void {
  if (state.open?.foundBy === 'pressure')
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
  const unknown = Number.isNaN(state.threshold.thresholdA);
  learnOnThreshold(state.threshold, row.currentA);
  if (unknown) noteFirstAmps(state, row, sink);
  const sinceS = row.timeS - state.lastCurrentS;
  if (sinceS > 0 && sinceS < state.finestS) state.finestS = sinceS;
  const heldS = how.onChange ? Math.max(state.finestS, 1) : Infinity;
  const on = row.currentA > state.threshold.thresholdA;
  if (on) {
    if (state.open === null) {
      noteCutIn(state);
      open(state, sink, startedByCurrent(state, row.timeS, heldS));
    } else if (!Number.isNaN(state.firstOffS)) resume(state, state.open, row.timeS);
    if (state.open !== null) addAmps(state, state.open, row);
    state.lastOnS = row.timeS;
  } else if (state.open?.foundBy === 'current' && Number.isNaN(state.firstOffS)) {
    state.firstOffS = row.timeS;
    noteCutOut(state.doubt, state.lastPressurePa);
    state.lastOnS = Math.max(state.lastOnS, row.timeS - heldS);
  }
  state.lastCurrentS = row.timeS;
  state.lastCurrentOn = on;
  state.lastCurrentA = row.currentA;
}

/**
 * Before the threshold is known nothing can be said of on and off. If it becomes known by a first
 * "off" after nothing but "on", the log began in a run.
 */
function noteFirstAmps(state: TrackerState, row: Row, sink: RunSink): void {
  const { thresholdA } = state.threshold;
  if (Number.isNaN(state.firstCurrentS)) state.firstCurrentS = row.timeS;
  const began = row.currentA < thresholdA && state.lowestA > thresholdA && state.open === null;
  if (began) {
    open(state, sink, newRun(state.firstCurrentS, state.firstCurrentS, 'current', 'log-start'));
    state.lastOnS = state.lastCurrentS;
  }
  state.lowestA = Math.min(state.lowestA, row.currentA);
}

function noteCutIn(state: TrackerState): void {
  const seen = state.lastPressurePa;
  if (Number.isNaN(seen)) return;
  state.cutInPa = Number.isNaN(state.cutInPa) ? seen : state.cutInPa + 0.1 * (seen - state.cutInPa);
}

function startedByCurrent(state: TrackerState, timeS: number, heldS: number): TrackedRun {
  const known = !Number.isNaN(state.lastCurrentS);
  const from = known ? Math.max(state.lastCurrentS, state.lastStopS, timeS - heldS) : timeS;
  // The threshold was known from earlier readings: where none precedes, there was a gap.
  return newRun(from, timeS, 'current', known ? 'seen' : 'gap');
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
  run.currentSaidOff = false;
  run.peakA = Math.max(run.peakA, row.currentA);
  if (!state.lastCurrentOn || state.lastCurrentS - run.startToS < INRUSH_S) return;
  const stepS = row.timeS - state.lastCurrentS;
  run.chargeAs += stepS * (0.5 * (row.currentA + state.lastCurrentA));
  run.currentS += stepS;
}

function closeWhenQuiet(state: TrackerState, timeS: number, sink: RunSink): void {
  if (timeS - state.firstOffS >= ONE_RUN_S) closeIfOff(state, sink);
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
  breakRise(state.rise);
  sink.closed(run);
}

/** Pressure this far above the cut-in is clearly above it. */
const ABOVE_CUT_IN_PA = 0.75 * PSI_PA;
/** Use that takes just what the pump gives does not go on for longer. */
const HELD_S = 60;

function stepPressure(state: TrackerState, row: Row, sink: RunSink): void {
  const on = state.open !== null;
  stepNoise(on ? state.runningNoise : state.pressureNoise, row.timeS, row.pressurePa);
  if (state.rise.rising && isDoubted(state)) openAfterAll(state, row, sink);
  const change = stepRise(state.rise, row.timeS, row.pressurePa, state.pressureNoise.std);
  if (change === 'began') {
    state.doubt.high = 0;
    if (isDoubted(state)) openAfterAll(state, row, sink);
    else if (state.open === null) open(state, sink, startedByPressure(state, row));
  }
  if (change === 'ended' && state.open?.foundBy === 'pressure')
    close(state, sink, 'seen', state.rise.highestS, state.rise.afterHighestS);
  state.lastPressurePa = row.pressurePa;
  if (!on && !(row.pressurePa < state.cutInPa + ABOVE_CUT_IN_PA)) state.aboveCutInS = row.timeS;
  if (state.rise.lowestS === row.timeS) state.aboveAtLowestS = state.aboveCutInS;
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
  run.currentSaidOff = saysOff(state);
  return run;
}
