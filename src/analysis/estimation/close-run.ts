import type { TrackedRun } from '../runs/tracker.ts';
import type { DayRecord } from './days.ts';
import {
  anchorOf,
  checkDelivery,
  isLearning,
  LEARNT_RUNS,
  learnDelivery,
  loosenDelivery,
  reopenDelivery,
} from './delivery.ts';
import { learnDrawdown, drawdownInRun, xPerMetre } from './drawdown.ts';
import { addPiece } from './draws.ts';
import type { PressureNoise } from './estimation.ts';
import { type Delivery, drawUpBalance, type RunBalance } from './run-balance.ts';
import type { EstimationState, Known, Tail } from './state.ts';
import { PSI_PA } from '../../units/table.ts';
import { closeAmpsRun } from './amps-curve.ts';
import { powerAt } from './energy.ts';
import { addRun, type RunRow } from './tables.ts';
import { wasWeak } from './weak-run.ts';

/** Delivery of one and the same pump differs from run to run by this (line voltage). */
const RUN_STD = 0.006;
/** A pump does not grow: delivery over tank constant up by more is the tank's doing. */
const GROWTH = 0.06;
const RESTED_S = 4 * 3600;

export interface Settling {
  state: EstimationState;
  known: Known;
  run: TrackedRun;
  noise: PressureNoise;
  day: (timeS: number) => DayRecord;
}

/** Draws up the balance of a run that is over, learns from it and enters it in the book. */
export function settleRun(job: Settling): void {
  const { state } = job;
  const learning = isLearning(state.delivery);
  const anchor = anchorOf(state.delivery, state.tankFactor);
  const prior = withRunNoise(learning ? anchor : state.delivery);
  const weak = wasWeak(state.weak);
  const balance = weak ? null : drawUp(job, prior);
  const learnt = balance !== null && isPlain(job, balance) ? learn(job, balance) : null;
  const factor = balance === null ? state.tankFactor : tankFactorOf(job, balance);
  const row = enter(job, balance, learnt, factor);
  releaseWaiting(state, factor);
  if (weak) enterWeak(job, row);
  addRun(state.runs, row);
  noteDays(job, row);
  closeAmpsRun(state.amps, row.begun === 'cut-in' && row.ended === 'cut-out' && row.breaks === 0);
  if (balance !== null) addOpenings(job, balance, row);
  state.seenRuns += 1;
}

function drawUp(job: Settling, prior: Delivery): RunBalance | null {
  const { state, known, run } = job;
  const flow = flowOf(job, prior.b0);
  const level = drawdownInRun(state.drawdown, run.startToS, flow);
  const perM = xPerMetre(known.band.halfPa);
  return drawUpBalance({
    window: state.window,
    startFromS: run.startFromS,
    // While contacts chatter, what was pumped is for the balance to say, not for the readings.
    startToS: run.breaks > 0 ? Math.max(run.startToS, run.lastResumeS) : run.startToS,
    stopFromS: run.stopFromS,
    stopToS: run.stopToS,
    pauses: run.pauses,
    prior,
    bend: known.nominal.bend,
    extraX: (s) => perM * level(s),
    frictionStd: frictionDoubt(state) / known.referencePa,
    cutIn: cutInVolume(job),
    lossRate: state.lossRate,
    pausing: state.pausing,
  });
}

/** How far the switch scatters about its cut-in, and the learnt cut-in about the true one. */
const CUT_IN_STD_PA = 0.6 * PSI_PA;

/** Gas volume at the pressure at which the switch starts the pump; null where it is not known. */
function cutInVolume(job: Settling): { volume: number; std: number } | null {
  const { state, known, run } = job;
  const pressurePa = state.medianCutInPa + known.atmospherePa;
  if (state.seenRuns < 5 || Number.isNaN(pressurePa) || run.begun !== 'seen') return null;
  const volume = known.referencePa / pressurePa;
  return { volume, std: (volume * CUT_IN_STD_PA) / pressurePa };
}

function frictionDoubt(state: EstimationState): number {
  const frictionPa = state.frictionPa * state.delivery.b0 ** 2;
  return state.frictionRuns > 5 ? 0.15 * PSI_PA + 0.15 * frictionPa : PSI_PA;
}

/** Delivery [m3/s] as far as the scale is known; by nameplate where it is not. */
function flowOf(job: Settling, b0: number): number {
  const { known } = job;
  const unit = known.nameplatePaM3 / known.referencePa;
  return Number.isNaN(unit) ? known.nominal.flowM3PerS : (b0 * unit) / 60;
}

function withRunNoise(d: Delivery): Delivery {
  return {
    b0: d.b0,
    b1: d.b1,
    v00: d.v00 + (RUN_STD * d.b0) ** 2,
    v01: d.v01 + RUN_STD ** 2 * d.b0 * d.b1,
    v11: d.v11 + (RUN_STD * d.b1) ** 2,
  };
}

/** A run that can teach: seen to start and stop, of some length, with the pump at work in it. */
function isPlain(job: Settling, balance: RunBalance): boolean {
  const { run } = job;
  const lengthS = balance.onMin * 60;
  const openS = run.startToS - run.startFromS + run.stopToS - run.stopFromS;
  const seen = run.begun === 'seen' && run.ended === 'seen';
  return seen && lengthS > 6 && openS < 0.7 * lengthS && run.breaks < 6;
}

function learn(job: Settling, balance: RunBalance): { deviation: number; std: number } {
  const { state } = job;
  followGas(state);
  const { delivery } = state;
  const free = isLearning(delivery) ? balance : drawUp(job, anchorOf(delivery, state.tankFactor));
  if (free !== null && checkDelivery(delivery, ownRate(delivery, free))) delivery.surprises = 0;
  learnDelivery(delivery, balance);
  learnFriction(state, balance, job);
  if (state.lossRate > 0.01 * state.delivery.b0) state.pausing = nextPausing(balance.pausing);
  // The last time delivery became learnt with a gas that is known restates what came before.
  const early = Number.isNaN(state.firstLearnt.b0) || state.runs.rows < EARLY_RUNS;
  if (early && delivery.runs === LEARNT_RUNS && state.gas.stops >= GAS_STOPS)
    state.firstLearnt = { b0: state.delivery.b0, b1: state.delivery.b1, runs: state.runs.rows + 1 };
  followTank(job);
  const { lastDeviation, lastDeviationStd } = state.delivery;
  return { deviation: lastDeviation, std: lastDeviationStd };
}

/** Later than this the first runs are not restated again. */
const EARLY_RUNS = 60;

/** Quiet stops after which the gas is known well enough for a delivery to be learnt with it. */
const GAS_STOPS = 3;

/**
 * Delivery is measured through the gas: when the gas is known otherwise, it is learnt anew. Once
 * there is a baseline to compare with it is only held less firmly, for a gas that changes may be
 * the fault itself.
 */
function followGas(state: EstimationState): void {
  const { gas, gasOfDelivery: was, delivery } = state;
  const moved = Math.hypot((gas.kappa - was.kappa) / 0.02, Math.log(gas.tauS / was.tauS) / 0.15);
  const first = Number.isNaN(was.kappa);
  const firm = gas.stops >= GAS_STOPS && was.stops < GAS_STOPS;
  if (!first && !firm && !(moved > 1)) return;
  state.gasOfDelivery = { kappa: gas.kappa, tauS: gas.tauS, stops: gas.stops };
  if (first || delivery.runs === 0) return;
  if (Number.isNaN(delivery.learntB0) || firm) reopenDelivery(delivery);
  else loosenDelivery(delivery);
}

/** The belief in pausing may drift between runs: a valve seats one time and not the next. */
function nextPausing(now: { share: number; std: number }): { share: number; std: number } {
  const share = Math.min(Math.max(now.share, -0.1), 1.1);
  return { share, std: Math.min(Math.hypot(now.std, 0.06), 0.5) };
}

/** The pressure step at a stop whose time is known well is tee friction. */
function learnFriction(state: EstimationState, balance: RunBalance, job: Settling): void {
  const { run, known } = job;
  if (run.stopToS - run.stopFromS > 2.1 || run.breaks > 0) return;
  const { step, netPerMin } = stepAtStop(state, balance);
  // A stop with next to no inflow before it says nothing of friction.
  if (Number.isNaN(step) || !(netPerMin > 0.4 * state.delivery.b0)) return;
  const pressurePa = state.medianCutOutPa + known.atmospherePa;
  const extraPa = (step * pressurePa * pressurePa) / known.referencePa;
  const gain = Math.max(1 / (state.frictionRuns + 2), 0.05);
  const clipped = Math.max(Math.min(extraPa, PSI_PA), -PSI_PA);
  const next = state.frictionPa + (gain * clipped) / netPerMin ** 2;
  state.frictionPa = Math.min(Math.max(next, 0), (5 * PSI_PA) / state.delivery.b0 ** 2);
  state.frictionRuns += 1;
}

const BEFORE_STOP_S = 12;
const AFTER_STOP_S = 3.5;
/** A reading later than this after the stop says nothing of a step at it. */
const TOO_LATE_S = 6;

/**
 * Growth of the gas volume across the stop that no water explains: a straight line through the
 * last readings of the run, carried to the stop, against the first readings after it.
 */
function stepAtStop(
  state: EstimationState,
  balance: RunBalance,
): { step: number; netPerMin: number } {
  const { window } = state;
  const stopS = balance.stopS - window.originS;
  const leaving = balance.openings.at(-1)?.rate ?? 0;
  const before: [number, number][] = [];
  const after: number[] = [];
  for (let i = 0; i < window.n; i++) {
    const since = window.timeS[i]! - stopS;
    if (i < window.afterFrom && since > -BEFORE_STOP_S) before.push([since, window.volume[i]!]);
    const soon = since < AFTER_STOP_S || (after.length === 0 && since < TOO_LATE_S);
    if (i >= window.afterFrom && soon) after.push(window.volume[i]! - (leaving * since) / 60);
  }
  if (before.length < 4 || after.length === 0) return { step: NaN, netPerMin: NaN };
  const { atZero, slope } = lineThrough(before);
  const rest = after.reduce((sum, v) => sum + v, 0) / after.length;
  return { step: rest - atZero, netPerMin: -60 * slope };
}

/** Height at zero and slope of the least-squares line through points. */
function lineThrough(points: [number, number][]): { atZero: number; slope: number } {
  const n = points.length;
  const meanX = points.reduce((sum, [x]) => sum + x, 0) / n;
  const meanY = points.reduce((sum, [, y]) => sum + y, 0) / n;
  let xx = 0;
  let xy = 0;
  for (const [x, y] of points) {
    xx += (x - meanX) ** 2;
    xy += (x - meanX) * (y - meanY);
  }
  const slope = xx > 0 ? xy / xx : 0;
  return { atZero: meanY - slope * meanX, slope };
}

/** When delivery over tank constant rises well beyond what was learnt, the tank has shrunk. */
function followTank(job: Settling): void {
  const { state } = job;
  const { delivery } = state;
  const ratio = delivery.b0 / delivery.learntB0;
  if (Number.isNaN(ratio) || delivery.runs <= 2 * LEARNT_RUNS) return;
  const factor = ratio > 1 + GROWTH ? 1 / ratio : 1;
  if (Math.abs(factor - state.tankFactor) > 0.04)
    state.scaleChanges.push({ fromS: job.run.startToS, factor, epoch: state.epochs.length - 1 });
  state.tankFactor = factor;
}

function enter(
  job: Settling,
  balance: RunBalance | null,
  learnt: { deviation: number; std: number } | null,
  factor: number,
): RunRow {
  const { state, run } = job;
  const startS = balance?.startS ?? (run.startFromS + run.startToS) / 2;
  const stopS = Math.max(balance?.stopS ?? (run.stopFromS + run.stopToS) / 2, startS + 0.05);
  const pumped = pumpedBy(job, balance, learnt, factor);
  const cutIn = gaugeAt(state.startTail, startS, job.known);
  const cutOut = gaugeAt(state.runTail, stopS, job.known);
  const meanA = run.currentS > 0 ? run.chargeAs / run.currentS : run.peakA > 0 ? run.peakA : NaN;
  const begun = run.begun === 'seen' ? howBegun(state, cutIn) : run.begun;
  const ended = howEnded(job, { cutOut, meanA, lengthS: stopS - startS });
  noteMedians(job, { cutIn, cutOut, meanA, begun, ended });
  noteUnseen(state, run);
  const lengthS = stopS - startS;
  state.usualRunS = Number.isNaN(state.usualRunS)
    ? lengthS
    : state.usualRunS + 0.1 * (lengthS - state.usualRunS);
  return {
    startS,
    stopS,
    startStdS: balance?.startStdS ?? spread(run.startFromS, run.startToS),
    stopStdS: balance?.stopStdS ?? spread(run.stopFromS, run.stopToS),
    cutInPaGauge: run.begun === 'seen' ? cutIn : NaN,
    cutOutPaGauge: run.ended === 'seen' ? cutOut : NaN,
    meanA: run.foundBy === 'pressure' && run.currentSaidOff ? NaN : meanA,
    ...pumped,
    byDay: false,
    begun,
    ended,
    foundBy: run.foundBy,
    breaks: run.breaks,
    epoch: state.epochs.length - 1,
  };
}

const spread = (fromS: number, toS: number): number =>
  Math.max((toS - fromS) / Math.sqrt(12), 0.05);

/** A run that pulls far up before two of its like have come: the tank's doing, if anything's. */
function tankFactorOf(job: Settling, balance: RunBalance): number {
  const { state } = job;
  const own = balance.i00 > 0 ? ownRate(state.delivery, balance) : NaN;
  const ratio = own / state.delivery.learntB0;
  if (state.delivery.surprises === 1 && ratio > 1.15 && state.delivery.lastDeviation > 0.1)
    return 1 / ratio;
  return state.tankFactor;
}

function ownRate(delivery: Delivery, balance: RunBalance): number {
  const slope = delivery.b1 / delivery.b0;
  const info = balance.i00 + 2 * slope * balance.i01 + slope * slope * balance.i11;
  return (balance.h0 + slope * balance.h1) / info;
}

function pumpedBy(
  job: Settling,
  balance: RunBalance | null,
  learnt: { deviation: number; std: number } | null,
  factor: number,
): Pick<RunRow, 'pumped' | 'pumpedStd' | 'integral0' | 'integral1'> {
  const { state, run } = job;
  if (balance === null) {
    const minutes = ((run.stopFromS + run.stopToS) / 2 - (run.startFromS + run.startToS) / 2) / 60;
    const pumped = Math.max(minutes, 0) * state.delivery.b0 * factor;
    return { pumped, pumpedStd: 0.5 * pumped + 1e-4, integral0: NaN, integral1: NaN };
  }
  const surprise = learnt === null ? 0 : Math.abs(learnt.deviation);
  const surprising = learnt !== null && surprise > 4 * learnt.std && surprise > 0.03;
  const shift = (balance.startStep + balance.stopStep) / state.delivery.b0;
  const pumpedStd = Math.hypot(
    balance.pumpedStd,
    0.003 * balance.pumped,
    // Somebody opened a tap in it, more likely than that the pump changed: wide, not moved.
    surprising ? 0.5 * Math.min(surprise, 1) * balance.pumped : 0,
  );
  return {
    pumped: Math.max(balance.pumped, 0) * factor,
    pumpedStd: pumpedStd * factor,
    integral0: (balance.integral0 - shift) * factor,
    integral1: balance.integral1 * factor,
  };
}

/** Pressure at a moment from the last readings before it, by a straight line [Pa gauge]. */
function gaugeAt(tail: Tail, timeS: number, known: Known): number {
  const n = tail.timeS.length;
  if (n === 0) return NaN;
  const last = tail.timeS[n - 1]!;
  const t = tail.timeS.map((v) => v - last);
  const meanT = t.reduce((a, b) => a + b, 0) / n;
  const meanP = tail.pressurePa.reduce((a, b) => a + b, 0) / n;
  let tt = 0;
  let tp = 0;
  for (let i = 0; i < n; i++) {
    tt += (t[i]! - meanT) ** 2;
    tp += (t[i]! - meanT) * tail.pressurePa[i]!;
  }
  const ahead = Math.min(Math.max(timeS - last - meanT, 0), -2 * meanT + 1);
  const slope = tt > 0 && n >= 3 ? tp / tt : 0;
  return meanP + slope * ahead - known.atmospherePa;
}

function howBegun(state: EstimationState, cutIn: number): RunRow['begun'] {
  const usual = state.medianCutInPa;
  return Number.isNaN(usual) || !(cutIn > usual + 4 * PSI_PA) ? 'cut-in' : 'other';
}

function howEnded(
  job: Settling,
  seen: { cutOut: number; meanA: number; lengthS: number },
): RunRow['ended'] {
  const { state, run } = job;
  if (run.ended !== 'seen') return run.ended;
  if (run.breaks >= 2) return 'chatter';
  const base = state.medianA;
  if (seen.meanA > 2.5 * base && seen.lengthS < 20) return 'stalled';
  if (!(seen.cutOut < state.medianCutOutPa - 3 * PSI_PA)) return 'cut-out';
  const hot = seen.meanA > 1.15 * base;
  return hot && seen.cutOut < state.medianCutOutPa - 5 * PSI_PA ? 'tripped' : 'below-cut-out';
}

function noteMedians(
  job: Settling,
  seen: { cutIn: number; cutOut: number; meanA: number; begun: string; ended: string },
): void {
  const { state, run } = job;
  const follow = (median: number, value: number, step: number): number => {
    if (Number.isNaN(value)) return median;
    if (Number.isNaN(median)) return value;
    return median + Math.max(-step, Math.min(step, 0.2 * (value - median)));
  };
  const early = state.seenRuns < 20 ? 1 : 0.2;
  if (seen.begun === 'cut-in')
    state.medianCutInPa = follow(state.medianCutInPa, seen.cutIn, early * PSI_PA);
  if (seen.ended === 'cut-out')
    state.medianCutOutPa = follow(state.medianCutOutPa, seen.cutOut, early * PSI_PA);
  if (run.foundBy === 'current' && seen.ended === 'cut-out')
    state.medianA = follow(state.medianA, seen.meanA, 0.02 * (state.medianA || 1));
}

/** Counts runs that pressure shows and the amps deny. */
function noteUnseen(state: EstimationState, run: TrackedRun): void {
  if (run.foundBy === 'current') state.unseenByAmps = 0;
  else if (run.currentSaidOff) {
    if (state.unseenByAmps === 0) state.firstUnseenS = run.startFromS;
    state.unseenByAmps += 1;
  }
}

export function releaseWaiting(state: EstimationState, factor: number): void {
  for (const part of state.waiting) state.days[part.day]!.change += part.change * factor;
  state.waiting = [];
}

/** Books what a weak run pumped by day, each day with its own doubt. */
function enterWeak(job: Settling, row: RunRow): void {
  const { state } = job;
  row.pumped = 0;
  row.integral0 = NaN;
  let variance = 0;
  for (const part of state.weak.byDay) {
    const day = state.days[part.day]!;
    const usual = Number.isNaN(state.usualDay) ? state.delivery.b0 * 10 : state.usualDay;
    // What was seen to be pumped is the least; people hardly use more than they usually do.
    const unseen = 0.75 * Math.max((usual * part.weakMin) / 1440 - part.weak, 0);
    const pumped = part.weak + part.strong + unseen;
    const std = Math.hypot(0.3 * part.weak, 0.1 * part.strong, 0.6 * unseen);
    day.weakPumped += pumped;
    day.weakStd = Math.hypot(day.weakStd, std);
    row.pumped += pumped;
    variance += std * std;
  }
  row.pumpedStd = Math.sqrt(variance) + 1e-4;
  row.byDay = true;
}

function noteDays(job: Settling, row: RunRow): void {
  const { state, known } = job;
  const day = job.day(row.startS);
  day.tankDoubt = Math.max(day.tankDoubt, Math.abs(1 - state.tankFactor));
  if (row.begun === 'cut-in' || row.begun === 'other') day.starts += 1;
  for (let at = row.startS; at < row.stopS; ) {
    const part = job.day(at);
    const until = at < part.endS ? Math.min(row.stopS, part.endS) : row.stopS;
    part.runS += until - at;
    if (Number.isNaN(row.meanA)) addUnseenEnergy(job, part, until - at);
    at = until;
  }
  const flow = (Math.max(row.pumped, 0) / Math.max(row.stopS - row.startS, 1)) * unitM3(known);
  if (!row.byDay) day.pumpedSoFar += row.pumped;
  const usable = row.ended === 'cut-out' && row.begun === 'cut-in';
  const { lastDeviation, lastDeviationStd, b0, b1 } = state.delivery;
  const level = learnDrawdown(state.drawdown, {
    startS: row.startS,
    stopS: row.stopS,
    flowM3PerS: flow,
    perM: (b1 / b0) * xPerMetre(known.band.halfPa),
    deviation: usable && lastDeviationStd < 0.05 ? lastDeviation : null,
  });
  if (!(day.deepestM > level.deepestM)) {
    day.deepestM = level.deepestM;
    day.deepestStdM = level.stdM;
  }
  noteIndex(job, day);
}

/** Amps were not seen: what the motor usually takes stands in for them. */
function addUnseenEnergy(job: Settling, day: DayRecord, lengthS: number): void {
  const { state, known } = job;
  day.unseenAmpsS += lengthS;
  if (!Number.isNaN(state.medianA))
    day.energyJ += lengthS * powerAt(known.power, state.medianA, state.mainsV);
}

function unitM3(known: Known): number {
  const unit = known.nameplatePaM3 / known.referencePa;
  return Number.isNaN(unit) ? (known.nominal.flowM3PerS * 60) / 1 : unit;
}

/** Rested runs that make the baseline of the pump index. */
const RESTED_RUNS = 8;
const RESTED_LEAST = 4;

/** The pump index, from runs after a long rest against the first such runs. */
function noteIndex(job: Settling, day: DayRecord): void {
  const { delivery, restS, rested, tankFactor } = job.state;
  if (!(restS >= RESTED_S) || Number.isNaN(delivery.learntB0)) return;
  if (!(delivery.lastDeviationStd < 0.06)) return;
  const own = delivery.b0 * (1 + delivery.lastDeviation) * tankFactor;
  if (rested.runs < RESTED_RUNS) {
    rested.runs += 1;
    rested.mean += (own - rested.mean) / rested.runs;
  }
  if (rested.runs < RESTED_LEAST) return;
  const weight = 1 / Math.hypot(delivery.lastDeviationStd, 0.015) ** 2;
  day.indexSum += (weight * own) / rested.mean;
  day.indexWeight += weight;
}

/** Draws that the balance found while the pump ran. */
function addOpenings(job: Settling, balance: RunBalance, row: RunRow): void {
  const { state } = job;
  const least = Math.max(0.03 * state.delivery.b0, 2 * state.lossRate);
  for (const opening of balance.openings) {
    const startS = Math.max(opening.fromS, row.startS);
    const stopS = Math.min(opening.toS, row.stopS);
    if (!(stopS - startS > 2) || opening.rate < least) continue;
    const share = (stopS - startS) / (opening.toS - opening.fromS);
    const volume = opening.volume * share;
    addPiece(state.draws, {
      startS,
      stopS,
      volume,
      variance: (0.1 * volume) ** 2,
      peakPerMin: opening.rate,
    });
  }
}
