import { createCalibration } from '../analysis/calibration/calibration.ts';
import { withRawLimits } from '../analysis/calibration/raw-limits.ts';
import { toldOf } from '../analysis/diagnosis/baseline.ts';
import {
  runsAreShort,
  type WatchRow,
  watchClosed,
  watchOpened,
  watchPeak,
  watchRow,
  watchStartTime,
} from '../analysis/diagnosis/diagnosis.ts';
import { nameplateOf } from '../analysis/diagnosis/expected.ts';
import { FINDINGS_MAX } from '../analysis/diagnosis/findings.ts';
import { createRunJudge, judgeRun, type RunJudgeState } from '../analysis/diagnosis/judge-runs.ts';
import { isKnownUse } from '../analysis/diagnosis/known-use.ts';
import { drawsOfNights } from '../analysis/diagnosis/night.ts';
import {
  createPlain,
  gapTrouble,
  noteStart,
  type PlainState,
  signalTrouble,
  unseenRuns,
  watchPlain,
} from '../analysis/diagnosis/plain.ts';
import { shareOf } from '../analysis/diagnosis/run-facts.ts';
import { monthsFromMidwinter } from '../analysis/diagnosis/season.ts';
import { Estimation } from '../analysis/estimation/estimation.ts';
import { usualAmps } from '../analysis/estimation/run-ends.ts';
import type { EstimationState } from '../analysis/estimation/state.ts';
import { sharedRelStd } from '../analysis/estimation/summary.ts';
import { startsBy } from '../analysis/estimation/usual-cut-in.ts';
import {
  createOwnerTests,
  endOwnerTests,
  isBreakerTest,
  type OwnerTestState,
  stepOwnerTests,
} from '../analysis/owner-tests/gather.ts';
import {
  createTracker,
  currentGap,
  endTracker,
  pressureGap,
  pumpIsOn,
  type Row,
  stepTracker,
  type TrackerState,
} from '../analysis/runs/tracker.ts';
import { signalConfigOf } from '../analysis/signal/config.ts';
import {
  createSignal,
  type SignalEventDetail,
  type SignalEventKind,
  type SignalSink,
  type SignalStage,
  type SignalState,
  samplingInWords,
} from '../analysis/signal/signal.ts';
import { decodeState, encodeState } from '../base/snapshot.ts';
import { CHANNELS, type ReadingBatch } from '../model/reading.ts';
import type { Well } from '../model/well.ts';
import { channelsUsed } from './sampling-of.ts';
import { weighTests } from './tests.ts';

const PRESSURE = CHANNELS.indexOf('pressure');
const CURRENT = CHANNELS.indexOf('current');
const CURRENT_RAW = CHANNELS.indexOf('current-raw');
/** What volts and counts become. */
const CALIBRATED_AS = new Map([
  [CHANNELS.indexOf('pressure-raw'), PRESSURE],
  [CURRENT_RAW, CURRENT],
]);
const MAINS = CHANNELS.indexOf('mains');
const AIR = CHANNELS.indexOf('air-temperature');
const START_TIME = CHANNELS.indexOf('start-time');
const PEAK = CHANNELS.indexOf('current-peak');

interface PipelineState {
  plain: PlainState;
  runJudge: RunJudgeState;
  uncalibrated: number[];
  signal: SignalState;
  tracker: TrackerState;
  estimation: EstimationState;
  ownerTests: OwnerTestState;
  row: Row;
  firstS: number;
  lastS: number;
  taken: number;
}

/**
 * The one order of the stages: signal, calibration, runs, estimation, owner's tests, diagnosis.
 * Readings go in one by one in the order received; any split of them, with a snapshot and a
 * restore between, gives the same result bit for bit.
 */
export class Pipeline implements SignalSink {
  readonly well: Well;
  readonly signal: SignalStage;
  readonly estimation: Estimation;
  tracker: TrackerState = createTracker();
  plain: PlainState = createPlain();
  runJudge: RunJudgeState = createRunJudge();
  ownerTests: OwnerTestState;
  readonly #calibration;
  /** Raw readings before any calibration, by channel. */
  #uncalibrated: number[] = CHANNELS.map(() => 0);
  #row: Row = { timeS: NaN, pressurePa: NaN, currentA: NaN };
  /** Made once: there is one for every row. */
  readonly #watched: WatchRow = {
    timeS: NaN,
    gaugePa: NaN,
    x: NaN,
    volume: NaN,
    currentA: NaN,
    ampsTold: false,
    on: false,
    bend: NaN,
    expectedPerMin: NaN,
  };
  firstS = NaN;
  lastS = NaN;
  /** Readings taken so far, whatever became of them. */
  taken = 0;

  constructor(well: Well, saved?: string) {
    this.well = well;
    this.#calibration = createCalibration(well.calibrations);
    this.signal = createSignal(withRawLimits(signalConfigOf(well), well.calibrations));
    if (saved === undefined) {
      this.ownerTests = createOwnerTests(well.otherTests);
      this.estimation = new Estimation(well);
      return;
    }
    const state = decodeState<PipelineState>(saved);
    this.signal.restore(state.signal);
    this.tracker = state.tracker;
    this.plain = state.plain;
    this.runJudge = state.runJudge;
    this.#uncalibrated = state.uncalibrated;
    this.estimation = new Estimation(well, state.estimation);
    this.ownerTests = state.ownerTests;
    this.#row = state.row;
    this.firstS = state.firstS;
    this.lastS = state.lastS;
    this.taken = state.taken;
  }

  take(batch: ReadingBatch): void {
    this.taken += batch.count;
    for (let i = 0; i < batch.count; i++)
      this.signal.step(batch.timeS[i]!, batch.channel[i]!, batch.value[i]!, this);
  }

  /** The log ends: what waits is brought to its end. Nothing may be taken after. */
  end(): void {
    this.signal.end(this);
    this.#finishRow();
    endTracker(this.tracker, this.lastS, this.#runs);
    this.estimation.end(this.#noise());
    this.#judgeRuns();
    endOwnerTests(this.ownerTests, this.estimation.state);
    if (this.well.otherTests.length > 0) weighTests(this);
  }

  snapshot(): string {
    const state: PipelineState = {
      signal: this.signal.snapshot(),
      tracker: this.tracker,
      plain: this.plain,
      runJudge: this.runJudge,
      uncalibrated: this.#uncalibrated,
      estimation: this.estimation.state,
      ownerTests: this.ownerTests,
      row: this.#row,
      firstS: this.firstS,
      lastS: this.lastS,
      taken: this.taken,
    };
    return encodeState(state);
  }

  /** From the signal stage: on through the calibration in force. */
  reading(timeS: number, channel: number, value: number): void {
    this.#calibration.step(timeS, channel, value, this.#rows);
  }

  readonly #rows = {
    reading: (timeS: number, channel: number, value: number): void => {
      const row = this.#row;
      if (timeS !== row.timeS) {
        this.#finishRow();
        row.timeS = timeS;
        row.pressurePa = NaN;
        row.currentA = NaN;
      }
      if (channel === PRESSURE) row.pressurePa = value + this.estimation.known.atmospherePa;
      else if (channel === CURRENT) row.currentA = value;
      else if (channel === MAINS) this.#takeMains(value, row.timeS);
      else if (channel === AIR) this.plain.airK = value;
      else if (channel === START_TIME) watchStartTime(this.runJudge.watch, value);
      else if (channel === PEAK) watchPeak(this.runJudge.watch, timeS, value);
    },
    noCalibration: (_timeS: number, channel: number): void => {
      this.#uncalibrated[channel]! += 1;
    },
  };

  gap(raw: number, fromS: number, toS: number): void {
    const channel = CALIBRATED_AS.get(raw) ?? raw;
    if (channel === PRESSURE) gapTrouble(this.plain, fromS, toS);
    if (channel !== PRESSURE && channel !== CURRENT) return;
    this.#finishRow();
    if (channel === CURRENT) {
      currentGap(this.tracker, this.#runs);
      this.estimation.currentGap();
    } else {
      pressureGap(this.tracker, this.#runs);
      this.estimation.pressureGap(this.#noise());
      this.#judgeRuns();
    }
  }

  event(kind: SignalEventKind, timeS: number, detail: SignalEventDetail): void {
    signalTrouble(this.plain, kind, timeS, detail);
  }

  /** Readings of each channel used so far. */
  used(): number[] {
    return this.signal.used().map((count, channel) => count - this.#uncalibrated[channel]!);
  }

  setAside(): { reason: string; count: number }[] {
    const uncalibrated = this.#uncalibrated.reduce((sum, count) => sum + count, 0);
    return [...this.signal.setAside(), { reason: 'no-calibration', count: uncalibrated }];
  }

  /** How surely delivery is known, as all runs share it. */
  deliveryRelStd(): number {
    return sharedRelStd(this.estimation.state);
  }

  get hasAmps(): boolean {
    return channelsUsed(this).includes('current');
  }

  /** Plain sentences about the readings and the file. */
  told(): string[] {
    const sampling = this.signal.samplingReport().map(samplingInWords);
    const { dropped } = this.plain.findings;
    const full = `${dropped} more findings came after the first ${FINDINGS_MAX} and are not listed`;
    const { base } = this.runJudge.watch;
    return [
      ...sampling,
      ...this.#calibration.told(),
      ...(dropped > 0 ? [full] : []),
      ...toldOf(base),
    ];
  }

  readonly #runs = {
    opened: (run: TrackerState['open']): void => {
      if (run === null) return;
      this.estimation.opened(run, this.#noise());
      this.#judgeRuns();
      const loss = this.estimation.state.loss.rests.at(-1) ?? null;
      watchOpened(this.runJudge.watch, run.startToS, loss);
      if (run.begun === 'seen')
        noteStart(this.plain, run.startToS, this.#row.timeS, runsAreShort(this.runJudge.watch));
    },
    closed: (run: NonNullable<TrackerState['open']>): void => {
      watchClosed(this.runJudge.watch, run.stopToS);
      this.estimation.closed(run, this.#noise());
      this.#judgeRuns();
    },
  };

  #noise(): { restPa: number; runningPa: number } {
    return { restPa: this.tracker.pressureNoise.std, runningPa: this.tracker.runningNoise.std };
  }

  #finishRow(): void {
    const row = this.#row;
    if (Number.isNaN(row.timeS) || (Number.isNaN(row.pressurePa) && Number.isNaN(row.currentA)))
      return;
    if (Number.isNaN(this.firstS)) this.firstS = row.timeS;
    this.lastS = row.timeS;
    const onChange = this.#isCurrentOnChange();
    stepTracker(this.tracker, row, this.#runs, { onChange });
    const on = pumpIsOn(this.tracker);
    this.estimation.step(row, on, this.#noise(), onChange);
    const now = { on, estimation: this.estimation.state };
    if (stepOwnerTests(this.ownerTests, this.well.otherTests, row, now)) weighTests(this);
    this.#judgeRuns();
    this.#watchRun(row, on);
    this.#watch(row, on);
    row.timeS = NaN;
  }

  /** The run that the estimation has just entered in the book, if any, is judged. */
  #judgeRuns(): void {
    const { state, known } = this.estimation;
    const { settled } = state;
    if (settled === null) return;
    state.settled = null;
    const monthsFromWinter = monthsFromMidwinter(known.timeZone, settled.row.startS);
    this.plain.monthsFromWinter = monthsFromWinter;
    const context = {
      monthsFromWinter,
      nowS: this.lastS,
      epoch: this.#epoch(),
      delivery: state.delivery,
      nameplate: nameplateOf(state.delivery.anchor, known),
      nightDraws: drawsOfNights(state.drawTable, known.timeZone, settled.row.startS, (atS) =>
        this.#isKnownUse(atS),
      ),
      knownUse: this.#isKnownUse(settled.row.startS),
      hasAmps: this.hasAmps,
      equipment: known.equipment,
      middlePa: known.referencePa,
    };
    judgeRun(this.runJudge, settled, context, this.plain.findings);
  }

  #isKnownUse(atS: number): boolean {
    return isKnownUse(this.well.knownUses, this.well.timeZone, atS);
  }

  #takeMains(mainsV: number, timeS: number): void {
    this.estimation.setMains(mainsV);
    this.plain.mainsV = mainsV;
    this.plain.mainsS = timeS;
  }

  /** Since when the same well, pump, tank, switch and sensors are there. */
  #epoch(): { fromS: number; by: 'log' | 'service' } {
    const inForce = this.well.services.slice(0, this.estimation.state.services);
    const last = inForce.findLast(({ onS, resets }) => resets.length > 0 && onS > this.firstS);
    return last === undefined
      ? { fromS: this.firstS, by: 'log' }
      : { fromS: last.onS, by: 'service' };
  }

  #isCurrentOnChange(): boolean {
    return this.signal.isOnChange(CURRENT) || this.signal.isOnChange(CURRENT_RAW);
  }

  /** A device that reports on change is silent while amps stay: they are those it told last. */
  #ampsNow({ currentA }: Row): number {
    const { lastCurrentOn, lastCurrentA } = this.tracker;
    const held = Number.isNaN(currentA) && lastCurrentOn && this.#isCurrentOnChange();
    return held ? lastCurrentA : currentA;
  }

  #watchRun(row: Row, on: boolean): void {
    const { state, known } = this.estimation;
    const gaugePa = row.pressurePa - known.atmospherePa;
    const watched = this.#watched;
    watched.timeS = row.timeS;
    watched.gaugePa = gaugePa;
    watched.x = (gaugePa - known.band.middlePaGauge) / known.band.halfPa;
    watched.volume = Number.isNaN(row.pressurePa) ? NaN : state.lastVolume;
    watched.currentA = this.#ampsNow(row);
    watched.ampsTold = !Number.isNaN(row.currentA);
    watched.on = on;
    watched.bend = known.nominal.bend;
    watchRow(this.runJudge.watch, watched);
  }

  #watch(row: Row, on: boolean): void {
    const { state, known } = this.estimation;
    const { run, still } = this.runJudge.watch;
    watchPlain(this.plain, {
      timeS: row.timeS,
      gaugePa: row.pressurePa - known.atmospherePa,
      currentA: row.currentA,
      on,
      atTest: isBreakerTest(this.well.otherTests, row.timeS),
      ampsKnown: state.unseenByAmps === 0 && this.tracker.lastCurrentS > row.timeS - 120,
      cutInPa: state.medianCutInPa,
      startsByPa: startsBy(state.cutIns),
      cutOutPa: state.medianCutOutPa,
      usualA: usualAmps(this.estimation),
      ...this.estimation.ampsToExpect(row.pressurePa),
      knownUse: this.#isKnownUse(row.timeS),
      earlyShare: run === null ? NaN : shareOf(run.early),
      stillS: still.stillS,
      heardS: still.heardS,
    });
    if (state.lastUnseenRuns !== state.unseenByAmps) {
      state.lastUnseenRuns = state.unseenByAmps;
      unseenRuns(this.plain, state.unseenByAmps, state.firstUnseenS, row.timeS);
    }
  }
}
