import { Estimation } from '../analysis/estimation/estimation.ts';
import type { EstimationState } from '../analysis/estimation/state.ts';
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
} from '../analysis/signal/signal.ts';
import { decodeState, encodeState } from '../base/snapshot.ts';
import { CHANNELS, type ReadingBatch } from '../model/reading.ts';
import type { Well } from '../model/well.ts';

const PRESSURE = CHANNELS.indexOf('pressure');
const CURRENT = CHANNELS.indexOf('current');
const MAINS = CHANNELS.indexOf('mains');

interface PipelineState {
  signal: SignalState;
  tracker: TrackerState;
  estimation: EstimationState;
  row: Row;
  firstS: number;
  lastS: number;
}

/**
 * The one order of the stages: signal, calibration, runs, estimation, diagnosis. Readings go in
 * one by one in the order received; any split of them, with a snapshot and a restore between,
 * gives the same result bit for bit.
 */
export class Pipeline implements SignalSink {
  readonly well: Well;
  readonly signal: SignalStage;
  readonly estimation: Estimation;
  tracker: TrackerState = createTracker();
  #row: Row = { timeS: NaN, pressurePa: NaN, currentA: NaN };
  firstS = NaN;
  lastS = NaN;

  constructor(well: Well, saved?: string) {
    this.well = well;
    this.signal = createSignal(signalConfigOf(well));
    if (saved === undefined) {
      this.estimation = new Estimation(well);
      return;
    }
    const state = decodeState<PipelineState>(saved);
    this.signal.restore(state.signal);
    this.tracker = state.tracker;
    this.estimation = new Estimation(well, state.estimation);
    this.#row = state.row;
    this.firstS = state.firstS;
    this.lastS = state.lastS;
  }

  take(batch: ReadingBatch): void {
    for (let i = 0; i < batch.count; i++)
      this.signal.step(batch.timeS[i]!, batch.channel[i]!, batch.value[i]!, this);
  }

  /** The log ends: what waits is brought to its end. Nothing may be taken after. */
  end(): void {
    this.signal.end(this);
    this.#finishRow();
    endTracker(this.tracker, this.lastS, this.#runs);
    this.estimation.end(this.#noise());
  }

  snapshot(): string {
    const state: PipelineState = {
      signal: this.signal.snapshot(),
      tracker: this.tracker,
      estimation: this.estimation.state,
      row: this.#row,
      firstS: this.firstS,
      lastS: this.lastS,
    };
    return encodeState(state);
  }

  reading(timeS: number, channel: number, value: number): void {
    const row = this.#row;
    if (timeS !== row.timeS) {
      this.#finishRow();
      row.timeS = timeS;
      row.pressurePa = NaN;
      row.currentA = NaN;
    }
    if (channel === PRESSURE) row.pressurePa = value + this.estimation.known.atmospherePa;
    else if (channel === CURRENT) row.currentA = value;
    else if (channel === MAINS) this.estimation.setMains(value);
  }

  gap(channel: number, _fromS: number, _toS: number): void {
    if (channel !== PRESSURE && channel !== CURRENT) return;
    this.#finishRow();
    if (channel === CURRENT) {
      currentGap(this.tracker, this.#runs);
      this.estimation.currentGap();
    } else {
      pressureGap(this.tracker, this.#runs);
      this.estimation.pressureGap(this.#noise());
    }
  }

  event(_kind: SignalEventKind, _timeS: number, _detail: SignalEventDetail): void {}

  readonly #runs = {
    opened: (run: TrackerState['open']): void => {
      if (run !== null) this.estimation.opened(run, this.#noise());
    },
    closed: (run: NonNullable<TrackerState['open']>): void => {
      this.estimation.closed(run, this.#noise());
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
    stepTracker(this.tracker, row, this.#runs);
    this.estimation.step(row, pumpIsOn(this.tracker), this.#noise());
    row.timeS = NaN;
  }
}
