import { PSI_PA } from '../../units/table.ts';
import { closeAmpsRun } from './amps-curve.ts';
import { addOpenings, enterWeak, m3PerUnit, noteDays } from './day-book.ts';
import {
  anchorOf,
  checkDelivery,
  isLearning,
  LEARNT_RUNS,
  learnDelivery,
  loosenDelivery,
  ownAnswer,
  reopenDelivery,
} from './delivery.ts';
import { drawdownInRun, reopenEdges, xPerMetre } from './drawdown.ts';
import { type Delivery, drawUpBalance, type RunBalance } from './run-balance.ts';
import { gaugeAt, howBegun, howEnded, noteMedians, noteUnseen } from './run-ends.ts';
import type { Settling } from './settling.ts';
import type { EstimationState } from './state.ts';
import { addRun, type RunRow } from './tables.ts';
import { frictionDoubtPa, learnFriction } from './tee-friction.ts';
import { spellsOf, wasWeak } from './weak-run.ts';
import { tookOver, type WeakWater, weakWater } from './weak-use.ts';

/** Delivery of one and the same pump differs from run to run by this (line voltage). */
const RUN_STD = 0.006;
/** A pump does not grow: delivery over tank constant up by more is the tank's doing. */
const GROWTH = 0.06;

/** Draws up the balance of a run that is over, learns from it and enters it in the book. */
export function settleRun(job: Settling): void {
  const { state } = job;
  const learning = isLearning(state.delivery);
  const anchor = anchorOf(state.delivery, state.tankFactor);
  const prior = withRunNoise(learning ? anchor : state.delivery);
  const long = job.run.stopToS - job.run.startFromS >= LONG_S;
  const mostlyWeak = wasWeak(state.weak);
  const water = long && !mostlyWeak ? null : waterOfWeak(job);
  const brief = water !== null && !long;
  const weak = brief || mostlyWeak;
  const balance = weak ? null : drawUp(job, prior);
  const before = state.delivery.b0;
  const learnt = balance !== null && isPlain(job, balance) ? learn(job, balance) : null;
  const factor = balance === null ? state.tankFactor : tankFactorOf(job, balance);
  const row = enter(job, balance, learnt, factor);
  releaseWaiting(state, factor);
  if (brief) {
    row.pumped = water.pumped * factor;
    row.pumpedStd = water.pumpedStd * factor;
  } else if (weak) enterWeak(job, row, water);
  addRun(state.runs, row);
  noteDays(job, row, weak);
  closeAmpsRun(state.amps, row.begun === 'cut-in' && row.ended === 'cut-out' && row.breaks === 0);
  if (balance !== null) addOpenings(job, balance, row);
  if (weak) state.lastWeakS = row.stopS;
  followOpenShare(job, row.stopS - row.startS);
  state.seenRuns += 1;
  state.settled = {
    row,
    ratePerMin: learnt === null ? NaN : before * (1 + learnt.deviation),
    restS: state.restS,
    mainsV: state.mainsV,
    cutOutMet: state.unmetCutOutPa === null,
  };
}

function followOpenShare({ state, run }: Settling, lengthS: number): void {
  const openS = 0.5 * (run.startToS - run.startFromS + run.stopToS - run.stopFromS);
  const share = Math.min(openS / Math.max(lengthS, 1), 1);
  state.openShare += OPEN_GAIN * (share - state.openShare);
}

const OPEN_GAIN = 0.1;

/** Longer runs see more taps open and shut than two openings tell of. */
const LONG_S = 1200;

/** What a run with low amps pumped, by the draws beside it; null without low amps or draws seen. */
function waterOfWeak({ state, run }: Settling): WeakWater | null {
  const spells = spellsOf(state.weak);
  if (spells.length === 0 || run.begun !== 'seen' || run.ended !== 'seen') return null;
  return weakWater({
    window: state.window,
    startS: 0.5 * (run.startFromS + run.startToS),
    stopS: 0.5 * (run.stopFromS + run.stopToS),
    spells,
    soundPerMin: state.delivery.b0 - state.delivery.b1,
  });
}

/** A start that pressure leaves open by more than this is looked for slice by slice. */
const OPEN_S = 8;
const SLICES = 12;
/** Slices whose balance costs this much more than the best may still hold the start. */
const COST_OPEN = 6;
/** What the slice chosen may still be wrong by, as a share of what pressure leaves open. */
const START_DOUBT = 0.2;

function drawUp(job: Settling, prior: Delivery): RunBalance | null {
  const { run } = job;
  // While contacts chatter, what was pumped is for the balance to say, not for the readings.
  const startToS = run.breaks > 0 ? Math.max(run.startToS, run.lastResumeS) : run.startToS;
  const openS = startToS - run.startFromS;
  if (run.foundBy === 'current' || openS <= OPEN_S)
    return balanceFor(job, prior, { startFromS: run.startFromS, startToS });
  const widthS = openS / SLICES;
  const tried = Array.from({ length: SLICES }, (_, k) => {
    const startFromS = run.startFromS + k * widthS;
    return balanceFor(job, prior, { startFromS, startToS: startFromS + widthS });
  }).filter((balance) => balance !== null);
  return likeliest(tried, (START_DOUBT * openS * prior.b0) / 60);
}

/** The balance of least cost, its doubt widened by the others that cost hardly more. */
function likeliest(tried: RunBalance[], doubt: number): RunBalance | null {
  const best = tried.reduce<RunBalance | null>(
    (least, one) => (least === null || one.cost < least.cost ? one : least),
    null,
  );
  if (best === null) return null;
  const near = tried.filter(({ cost }) => cost < best.cost + COST_OPEN * best.misfit ** 2);
  const spread = (pick: (b: RunBalance) => number): number =>
    Math.sqrt(near.reduce((sum, b) => sum + (pick(b) - pick(best)) ** 2, 0) / near.length);
  return {
    ...best,
    startStdS: Math.hypot(
      best.startStdS,
      spread((b) => b.startS),
    ),
    pumpedStd: Math.hypot(
      best.pumpedStd,
      spread((b) => b.pumped),
      doubt,
    ),
  };
}

function balanceFor(
  job: Settling,
  prior: Delivery,
  start: { startFromS: number; startToS: number },
): RunBalance | null {
  const { state, known, run } = job;
  const perM = xPerMetre(known.band.halfPa);
  const unit = m3PerUnit(job);
  const level = drawdownInRun(state.drawdown, start.startToS, {
    flowM3PerS: (prior.b0 * unit) / 60,
    m3PerUnit: unit,
    xPerM: perM,
    curve: known.nominal,
    sound: true,
  });
  return drawUpBalance({
    window: state.window,
    ...start,
    stopFromS: run.stopFromS,
    stopToS: run.stopToS,
    pauses: run.pauses,
    prior,
    bend: known.nominal.bend,
    extraX: (s) => perM * level(s),
    frictionStd: frictionDoubtPa(state) / known.referencePa,
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
  if (free !== null && checkDelivery(delivery, free)) delivery.surprises = 0;
  learnDelivery(delivery, balance);
  learnFriction(state, balance, job);
  noteStrays(state, balance);
  if (state.lossRate > 0.01 * state.delivery.b0) state.pausing = nextPausing(balance.pausing);
  // The last time delivery became learnt with a gas that is known restates what came before.
  const early = Number.isNaN(state.firstLearnt.b0) || state.runs.rows < EARLY_RUNS;
  if (early && delivery.runs === LEARNT_RUNS && state.gas.stops >= GAS_STOPS)
    state.firstLearnt = { b0: state.delivery.b0, b1: state.delivery.b1, runs: state.runs.rows + 1 };
  followTank(job);
  const { lastDeviation, lastDeviationStd } = state.delivery;
  return { deviation: lastDeviation, std: lastDeviationStd };
}

/** Follows how far runs are from what is believed, and whether use seems to fall at each start. */
function noteStrays(state: EstimationState, balance: RunBalance): void {
  const { delivery } = state;
  const stray = Math.min(Math.abs(delivery.lastDeviation), 1);
  state.strayed += STRAY_GAIN * (stray - state.strayed);
  const useAt = (s: number): number =>
    balance.openings.find(({ fromS, toS }) => fromS <= s && toS > s)?.rate ?? 0;
  const drop = (useAt(balance.startS - 2) - useAt(balance.startS + 8)) / delivery.b0;
  state.startDrop += STRAY_GAIN * (Math.max(-0.5, Math.min(0.5, drop)) - state.startDrop);
}

const STRAY_GAIN = 0.1;

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
  reopenEdges(state.drawdown);
  reopenEdges(state.level);
}

/** The belief in pausing may drift between runs: a valve seats one time and not the next. */
function nextPausing(now: { share: number; std: number }): { share: number; std: number } {
  const share = Math.min(Math.max(now.share, -0.1), 1.1);
  return { share, std: Math.min(Math.hypot(now.std, 0.06), 0.5) };
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
  const own = balance.i00 > 0 ? ownAnswer(state.delivery, balance).b0 : NaN;
  const ratio = own / state.delivery.learntB0;
  if (state.delivery.surprises === 1 && ratio > 1.15 && state.delivery.lastDeviation > 0.1)
    return 1 / ratio;
  return state.tankFactor;
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
    byPressureDoubt(job, balance),
    faintDoubt(job, balance),
    (BREAK_S / 60) * run.breaks * state.delivery.b0,
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

/** A break of contacts that is seen is off by up to this, or is one of two. */
const BREAK_S = 0.8;
/** Of a run that pressure alone shows, what is longer than usual may as well be a tap shut. */
const LONGER_DOUBT = 0.7;

/** So long after a weak run the pump is watched more closely. */
const FAINT_S = 4 * 86_400;
/** Of what a run then pumped beyond what the tank took: it may have been weak, or taps open. */
const FAINT_DOUBT = 0.5;

function faintDoubt({ state }: Settling, balance: RunBalance): number {
  if (!(balance.startS - state.lastWeakS < FAINT_S)) return 0;
  const beyond = balance.pumped - tookOver(state.window, balance.startS, balance.stopS);
  return FAINT_DOUBT * Math.max(beyond, 0);
}

function byPressureDoubt(job: Settling, balance: RunBalance): number {
  const { state, run } = job;
  if (run.foundBy !== 'pressure') return 0;
  const longer = 1 - state.usualRunS / (60 * balance.onMin);
  return longer > 0 ? LONGER_DOUBT * longer * balance.pumped : 0;
}

export function releaseWaiting(state: EstimationState, factor: number): void {
  for (const part of state.waiting) state.days[part.day]!.change += part.change * factor;
  state.waiting = [];
}
