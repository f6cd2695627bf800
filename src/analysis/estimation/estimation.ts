import type { Well } from '../../model/well.ts';
import type { Row, TrackedRun } from '../runs/tracker.ts';
import { addAmps, expectedAmps } from './amps-curve.ts';
import { noteGasForBuckets, noteRunNearBucket, stepBucket } from './bucket.ts';
import { releaseWaiting, settleRun } from './close-run.ts';
import { type DayRecord, dayAt } from './days.ts';
import { breakDraws, stepDraws, takeFinal } from './draws.ts';
import { powerAt } from './energy.ts';
import { closeLossDay, endRest, type RestReading, skipLoss, stepLoss } from './loss.ts';
import {
  pushWindow,
  windowIsFull,
  windowRestart,
  windowRunBegins,
  windowRunEnds,
} from './run-window.ts';
import type { PressureNoise } from './settling.ts';
import {
  applyService,
  createEstimation,
  type EstimationState,
  type Known,
  knownOf,
  type Tail,
} from './state.ts';
import { addDraw } from './tables.ts';
import {
  beginStop,
  breakTankGas,
  dropStop,
  gasExpansion,
  learnFromStop,
  stepTankGas,
  stopIsOver,
} from './tank-gas.ts';
import { addWeakBin, createWeakRun, stepWeakRun, wasWeak } from './weak-run.ts';

/** The rest after a run is not waited for longer than this where no pressure comes. */
const SETTLED_AFTER_S = 600;

/**
 * Turns rows and runs into water, delivery, level and energy. One pass: a run is settled when two
 * minutes of the rest after it have been seen, or when something ends that rest earlier.
 */
export class Estimation {
  readonly #well: Well;
  known: Known;
  state: EstimationState;

  constructor(well: Well, state: EstimationState = createEstimation(well)) {
    this.#well = well;
    this.state = state;
    this.known = knownOf(well, state.services);
  }

  /**
   * Takes a row; `on` tells whether the pump is known to run at it, `held` whether current is
   * reported on change.
   */
  step(row: Row, on: boolean, noise: PressureNoise, held = false): void {
    this.#services(row.timeS);
    if (!Number.isNaN(row.currentA)) this.#addEnergy(row, on, held);
    if (!Number.isNaN(row.pressurePa)) this.#addPressure(row, on, noise, held);
    else if (row.timeS - (this.state.pending?.stopToS ?? NaN) > SETTLED_AFTER_S)
      this.#settle(noise);
  }

  setMains(voltageV: number): void {
    this.state.mainsV = voltageV;
  }

  opened(run: TrackedRun, noise: PressureNoise): void {
    const { state } = this;
    if (state.pending !== null) this.#settle(noise);
    this.#endRest(noise);
    state.restS = run.startToS - state.lastStopS;
    state.open = run;
    state.startTail = copyTail(state.restTail);
    state.runTail = { timeS: [], pressurePa: [] };
    // What brought the run on is still being drawn.
    state.netPerMin = Math.min(state.netPerMin, 0) + state.delivery.b0 - state.delivery.b1;
    state.weak = createWeakRun();
    windowRunBegins(state.window, run.startToS);
  }

  closed(run: TrackedRun, noise: PressureNoise): void {
    const { state } = this;
    state.open = null;
    state.pending = run;
    state.lastStopS = run.stopToS;
    // How it ended is known once it is settled.
    state.cutIns.waits = false;
    noteRunNearBucket(state.buckets, run.startFromS, run.stopToS);
    windowRunEnds(state.window, run.stopToS);
    state.restTail = { timeS: [], pressurePa: [] };
    state.netPerMin = 0;
    beginStop(state.gas, run.stopToS);
    if (run.ended !== 'seen') this.#settle(noise);
  }

  /** Nothing is known of pressure from the last reading to `toS`. */
  pressureGap(noise: PressureNoise): void {
    const { state } = this;
    if (state.pending !== null) this.#settle(noise);
    this.#endRest(noise);
    breakTankGas(state.gas);
    state.lastS = NaN;
    state.lastVolume = NaN;
    if (state.open === null) windowRestart(state.window, false);
  }

  currentGap(): void {
    this.state.lastCurrentS = NaN;
  }

  /** The log ends here: settles what waits. */
  end(noise: PressureNoise): void {
    if (this.state.pending !== null) this.#settle(noise);
    this.#endRest(noise);
    this.#closeLoss();
    this.#keepDraws(Infinity);
    releaseWaiting(this.state, this.state.tankFactor);
  }

  /**
   * Amps that a sound pump takes at a pressure [Pa absolute]: as learnt, which is taken as it is,
   * or before that by the motor's plate with its doubt; NaN where neither is known.
   */
  ampsToExpect(pressurePa: number): { expectedA: number; expectedRelStd: number } {
    const { band, atmospherePa, plate } = this.known;
    const x = (pressurePa - atmospherePa - band.middlePaGauge) / band.halfPa;
    const learntA = expectedAmps(this.state.amps, clamp(x, -2.5, 2.5));
    return Number.isNaN(learntA)
      ? { expectedA: plate.currentA, expectedRelStd: plate.relStd }
      : { expectedA: learntA, expectedRelStd: 0 };
  }

  day(timeS: number): DayRecord {
    const { days, epochs } = this.state;
    const last = days[days.length - 1];
    if (last !== undefined && timeS < last.endS) return last;
    if (last !== undefined) {
      endRest(this.state.loss, null);
      this.#closeLoss();
      this.#noteUsual(last);
    }
    const fresh = dayAt(this.known.timeZone, timeS, epochs.length - 1);
    days.push(fresh);
    return fresh;
  }

  #services(timeS: number): void {
    const next = this.#well.services[this.state.services];
    if (next === undefined || timeS < next.onS) return;
    this.known = applyService(this.state, this.#well, next);
    this.state.lastVolume = NaN;
    windowRestart(this.state.window, false);
  }

  #addEnergy(row: Row, on: boolean, held: boolean): void {
    const { state } = this;
    const stepS = row.timeS - state.lastCurrentS;
    if (state.lastOn && stepS > 0) {
      // Of a device that reports on change the amps held until now; else it stopped half way.
      const amps = on ? 0.5 * (row.currentA + state.lastA) : state.lastA;
      const ranS = on || held ? stepS : 0.5 * stepS;
      this.day(row.timeS).energyJ += ranS * powerAt(this.known.power, amps, state.mainsV);
    }
    state.lastOn = on;
    state.lastA = row.currentA;
    state.lastCurrentS = row.timeS;
  }

  #addPressure(row: Row, on: boolean, noise: PressureNoise, held: boolean): void {
    const { state, known } = this;
    stepBucket(state.buckets, row.timeS, row.pressurePa);
    const friction = on ? state.frictionPa * state.netPerMin * Math.abs(state.netPerMin) : 0;
    const tankPa = Math.max(row.pressurePa - friction, 0.2 * known.atmospherePa);
    const turned = on !== state.pumpWasOn;
    if (turned) this.#turn(row.timeS, Math.log(tankPa), on);
    stepTankGas(state.gas, row.timeS, tankPa);
    const volume = Math.min(
      (gasExpansion(state.gas) * known.referencePa) / tankPa,
      known.fullOfGas,
    );
    const gauge = Math.max(row.pressurePa - known.atmospherePa, 0);
    const root = Math.sqrt(gauge / known.band.middlePaGauge);
    this.#addToDay(row.timeS, volume, root, on, gauge);
    const std = Math.hypot((on ? noise.runningPa : noise.restPa) / tankPa, MODEL_STD) * volume;
    const x = clamp((gauge - known.band.middlePaGauge) / known.band.halfPa, -2.5, 2.5);
    // What flowed since a reading before the start is not what flows in the run.
    if (!turned) this.#followNet(row.timeS, volume);
    if (on) this.#inRun(row, volume, std, x, held);
    pushWindow(state.window, { timeS: row.timeS, volume, std, root, x });
    pushTail(on ? state.runTail : state.restTail, row.timeS, row.pressurePa);
    state.lastS = row.timeS;
    state.lastVolume = volume;
    state.lastRoot = root;
    if (state.open === null) this.#rest(row.timeS, volume, std, root, noise);
  }

  /**
   * Between two readings with a start between them pressure fell, then rose. A gas led straight
   * from one to the other would be too cold at the second, and the pump seem slow at first; so it
   * is led by way of the cut-in. The same at a stop, by way of the cut-out.
   */
  #turn(timeS: number, logP: number, on: boolean): void {
    const { state, known } = this;
    state.pumpWasOn = on;
    const { lastS, lastLogP, kappa } = state.gas;
    const usualPa = (on ? state.medianCutInPa : state.medianCutOutPa) + known.atmospherePa;
    if (!(timeS - lastS > TURN_S) || !(usualPa > 0)) return;
    const { b0, b1 } = state.delivery;
    const fillPerMin = on ? b0 - b1 : b0 + b1;
    const logPerS = (fillPerMin * usualPa) / known.referencePa / 60 / (1 - kappa);
    const turn = Math.log(usualPa);
    const pumpedS = on ? (logP - turn) / logPerS : (turn - lastLogP) / logPerS;
    const turnS = on ? timeS - pumpedS : lastS + pumpedS;
    // Once it turned where it usually does not, the readings are nearer than what is usual.
    if (pumpedS > 0 && turnS > lastS && turnS < timeS)
      stepTankGas(state.gas, turnS, Math.exp(turn));
  }

  #addToDay(timeS: number, volume: number, root: number, on: boolean, gauge: number): void {
    const { state } = this;
    const day = this.day(timeS);
    if (Number.isNaN(state.lastVolume)) return;
    const stepS = timeS - state.lastS;
    day.coveredS += stepS;
    if (on) {
      day.rootRunMin += (stepS / 120) * (root + state.lastRoot);
      day.pressureSum += stepS * gauge;
      day.pressureS += stepS;
    }
    const index = state.days.length - 1;
    const tail = state.waiting[state.waiting.length - 1];
    const change = volume - state.lastVolume;
    if (tail?.day === index) tail.change += change;
    else state.waiting.push({ day: index, change });
  }

  #inRun(row: Row, volume: number, std: number, x: number, held: boolean): void {
    const { state } = this;
    const { timeS } = row;
    if (!Number.isNaN(row.currentA) && timeS - (state.open?.startToS ?? timeS) > 3)
      addAmps(state.amps, x, row.currentA);
    // A device that reports on change says nothing while amps stay as they are.
    const still = Number.isNaN(row.currentA) && held && state.lastOn;
    const currentA = still ? state.lastA : row.currentA;
    const { b0, b1 } = state.delivery;
    const healthyPerMin = Math.max(b0 + b1 * x, 0);
    const expectedA = expectedAmps(state.amps, x);
    const bin = stepWeakRun(state.weak, { timeS, volume, std, currentA, expectedA, healthyPerMin });
    if (bin === null) return;
    addWeakBin(state.weak, state.days.length - 1, bin, healthyPerMin);
  }

  /** Net inflow to the tank, smoothed over some ten seconds. */
  #followNet(timeS: number, volume: number): void {
    const { state } = this;
    const stepS = timeS - state.lastS;
    if (!(stepS > 0) || Number.isNaN(state.lastVolume)) return;
    const most = 1.5 * Math.max(state.delivery.b0, state.delivery.anchor.b0);
    const net = clamp(((state.lastVolume - volume) / stepS) * 60, -most, most);
    state.netPerMin += (1 - Math.exp(-stepS / 12)) * (net - state.netPerMin);
  }

  #rest(timeS: number, volume: number, std: number, root: number, noise: PressureNoise): void {
    const { state } = this;
    const sinceStopS = Number.isNaN(state.lastStopS) ? Infinity : timeS - state.lastStopS;
    if (stopIsOver(state.gas, timeS)) this.#learnGas(noise);
    const inTest = state.buckets.some((b) => timeS > b.startS - 150 && timeS < b.stopS + 400);
    const reading: RestReading = { timeS, volume, std, root, sinceStopS };
    if (inTest) skipLoss(state.loss);
    else stepLoss(state.loss, reading);
    stepDraws(state.draws, { timeS, volume, std, lossPerMin: state.lossRate * root, sinceStopS });
    if (state.pending === null) return;
    if (windowIsFull(state.window, timeS, state.pending.stopToS)) this.#settle(noise);
  }

  #settle(noise: PressureNoise): void {
    const run = this.state.pending;
    if (run === null) return;
    this.state.pending = null;
    settleRun({ state: this.state, known: this.known, run, noise, day: (t) => this.#dayOf(t) });
    windowRestart(this.state.window, run.ended === 'seen');
    this.#keepDraws(run.startFromS);
  }

  #dayOf(timeS: number): DayRecord {
    const { days } = this.state;
    for (let k = days.length - 1; k > 0; k--) if (timeS >= days[k]!.startS) return days[k]!;
    return days[0] ?? this.day(timeS);
  }

  #endRest(noise: PressureNoise): void {
    const { state } = this;
    if (!Number.isNaN(state.gas.stopS)) this.#learnGas(noise);
    const last =
      Number.isNaN(state.lastVolume) || Number.isNaN(state.lastStopS)
        ? null
        : this.#lastRest(noise);
    endRest(state.loss, last);
    breakDraws(state.draws, (noise.restPa * state.lastVolume) / this.known.referencePa);
  }

  #lastRest(noise: PressureNoise): RestReading {
    const { state } = this;
    return {
      timeS: state.lastS,
      volume: state.lastVolume,
      std: (noise.restPa * state.lastVolume * state.lastVolume) / this.known.referencePa,
      root: state.lastRoot,
      sinceStopS: state.lastS - state.lastStopS,
    };
  }

  #learnGas(noise: PressureNoise): void {
    const { state } = this;
    // A new share while the gas is warm would move the volume: only a stop long over teaches.
    const losing = state.lossRate > 0.005 * state.delivery.b0 && state.gas.stops >= FEW_STOPS;
    if (stopIsOver(state.gas, state.lastS) && !losing) {
      const lossPerS = (state.lossRate * state.lastRoot) / state.lastVolume / 60;
      learnFromStop(state.gas, noise.restPa / Math.exp(state.gas.lastLogP), lossPerS);
      noteGasForBuckets(state.buckets, state.gas, state.lastS);
    } else dropStop(state.gas);
  }

  #closeLoss(): void {
    const { state } = this;
    const day = state.days[state.days.length - 1];
    const sure = state.lossRate > 3 * state.lossStd;
    const loss = closeLossDay(state.loss, sure ? state.lossRate : 0);
    if (day === undefined || loss === null) return;
    day.loss = loss;
    const rate = loss.rate > 2 * loss.rateStd ? loss.rate : 0;
    if (rate > 1.5 * state.lossRate + 1e-4) state.pausing = { share: 0.3, std: 0.5 };
    state.lossRate = rate;
    state.lossStd = loss.rateStd;
    day.pausing = { ...state.pausing };
  }

  /** Water used on a usual day, from whole days without trouble. */
  #noteUsual(day: DayRecord): void {
    const weakNow = this.state.open !== null && wasWeak(this.state.weak);
    const weakToday = day.weakPumped > 0 || this.state.lastWeakS >= day.startS;
    if (weakToday || weakNow || day.coveredS < 80_000) return;
    const used = Math.max(day.pumpedSoFar - (day.loss?.volume ?? 0), 0);
    const { usualDay } = this.state;
    this.state.usualDay = Number.isNaN(usualDay) ? used : usualDay + 0.15 * (used - usualDay);
  }

  #keepDraws(beforeS: number): void {
    const { state } = this;
    for (const piece of takeFinal(state.draws, beforeS))
      addDraw(state.drawTable, {
        startS: piece.startS,
        durationS: piece.stopS - piece.startS,
        volume: piece.volume * state.tankFactor,
        std: Math.sqrt(piece.variance),
        peakPerMin: piece.peakPerMin * state.tankFactor,
      });
  }
}

/** Fewer quiet stops than this have to be taken even where water leaks. */
const FEW_STOPS = 6;

/** Readings closer than this leave nothing between them, s. */
const TURN_S = 1.5;

/** What the gas model leaves over, relative to the volume, however quiet the sensor. */
const MODEL_STD = 0.001;

const clamp = (v: number, low: number, high: number): number => Math.min(Math.max(v, low), high);

const TAIL = 5;

function pushTail(tail: Tail, timeS: number, pressurePa: number): void {
  tail.timeS.push(timeS);
  tail.pressurePa.push(pressurePa);
  if (tail.timeS.length <= TAIL) return;
  tail.timeS.shift();
  tail.pressurePa.shift();
}

const copyTail = (tail: Tail): Tail => ({
  timeS: tail.timeS.slice(),
  pressurePa: tail.pressurePa.slice(),
});
