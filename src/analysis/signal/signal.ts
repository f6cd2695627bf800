import { CHANNELS, type SetAsideTally } from '../../model/reading.ts';
import { copyOf } from './copy.ts';
import { Counts, type CountsState } from './counts.ts';
import type { HistoryState } from './history.ts';
import { Judge, type JudgeState } from './judge.ts';
import { Order, type OrderedSink, type OrderState } from './order.ts';
import { Sampling, type SamplingOfChannel, type SamplingState } from './sampling.ts';
import type { SignalConfig, SignalSink } from './types.ts';

export type { SamplingOfChannel } from './sampling.ts';
export type { SignalConfig, SignalEventDetail, SignalEventKind, SignalSink } from './types.ts';

/** Everything the stage remembers: numbers and arrays of them. */
export interface SignalState {
  counts: CountsState;
  order: OrderState;
  history: HistoryState;
  judge: JudgeState;
  sampling: SamplingState;
}

const PRESSURE = 0;

/**
 * The first stage of the analysis: takes readings as they came, hands on those that can be
 * believed in order of time, and tells of gaps, clock jumps and sensor faults. The readings taken
 * are those handed on, those set aside and, before `end`, the few that wait to be put in order.
 */
export class SignalStage implements OrderedSink {
  readonly #counts = new Counts();
  readonly #sampling: Sampling;
  readonly #judge: Judge;
  readonly #order: Order;

  constructor(config: SignalConfig) {
    this.#sampling = new Sampling(config);
    this.#judge = new Judge(config, this.#counts);
    this.#order = new Order(this.#counts, 2 * this.#sampling.state.longestGapAfterS);
  }

  /** Takes one reading as received: Unix s, channel number, SI value. */
  step(timeS: number, channel: number, value: number, out: SignalSink): void {
    if (!Number.isFinite(value)) this.#counts.aside('not-finite', channel, timeS);
    else this.#order.push(timeS, channel, value, this, out);
  }

  /** Hands on what still waits, at the end of a log. */
  end(out: SignalSink): void {
    this.#order.flush(this, out);
  }

  /** Takes a reading in its order; called by the ordering. */
  take(timeS: number, channel: number, value: number, out: SignalSink): void {
    const judge = this.#judge;
    if (!judge.isInside(timeS, channel, value, out)) return;
    if (channel === PRESSURE && value <= 0 && this.#isLost(value)) {
      this.#counts.aside('outside-sensor-range', channel, timeS);
      return;
    }
    const sampling = this.#sampling;
    const onChange =
      channel <= 1 && value === judge.state.lastValue[channel] && sampling.isOnChange(channel);
    if (!judge.isLive(timeS, channel, value, onChange, out)) return;
    const gapFromS = sampling.step(timeS, channel, value);
    if (!Number.isNaN(gapFromS)) out.gap(channel, gapFromS, timeS);
    this.#counts.state.used[channel]! += 1;
    out.reading(timeS, channel, value);
    if (sampling.hasLearnt) {
      sampling.hasLearnt = false;
      this.#order.setRate(sampling.state.slowestS, sampling.state.longestGapAfterS);
    }
  }

  /** Readings of each channel handed on so far. */
  used(): number[] {
    return Array.from(this.#counts.state.used);
  }

  /** What was set aside, by reason. */
  setAside(): SetAsideTally[] {
    return this.#counts.tallies();
  }

  /** How often each channel reports, as learnt so far. */
  samplingReport(): SamplingOfChannel[] {
    return this.#sampling.report();
  }

  /** Whether a channel is reported on change, as told or learnt so far. */
  isOnChange(channel: number): boolean {
    return this.#sampling.isOnChange(channel);
  }

  snapshot(): SignalState {
    return copyOf({
      counts: this.#counts.state,
      order: this.#order.state,
      history: this.#order.history.state,
      judge: this.#judge.state,
      sampling: this.#sampling.state,
    });
  }

  /** Goes on from a snapshot of a stage with the same config. */
  restore(saved: SignalState): void {
    const state = copyOf(saved);
    this.#counts.state = state.counts;
    this.#order.state = state.order;
    this.#order.history.state = state.history;
    this.#judge.state = state.judge;
    this.#sampling.state = state.sampling;
  }

  /** A 0 or -1 out of the blue, with the pressure back at once: the device had no value. */
  #isLost(value: number): boolean {
    if (!this.#judge.maybeLost(value)) return false;
    return this.#order.comesBackAbove(PRESSURE, this.#judge.lastPressurePa / 2);
  }
}

export function createSignal(config: SignalConfig): SignalStage {
  return new SignalStage(config);
}

/** The sampling of a channel in words, such as `every 5 s at rest, 1 s while the pump runs`. */
export function samplingInWords(sampling: SamplingOfChannel): string {
  const { policy, restS, runS } = sampling;
  const name = CHANNELS[sampling.channel];
  if (Number.isNaN(restS) && Number.isNaN(runS))
    return `${name}: too few readings to tell the rate`;
  const rest = Number.isNaN(restS) ? runS : restS;
  if (policy === 'on-change') {
    const silent = inSeconds(sampling.gapAfterS);
    return `${name}: on change, about every ${inSeconds(rest)}, silent for ${silent} at most`;
  }
  if (policy === 'fixed') return `${name}: every ${inSeconds(rest)}`;
  return `${name}: every ${inSeconds(rest)} at rest, ${inSeconds(runS)} while the pump runs`;
}

function inSeconds(s: number): string {
  return `${Number(s.toPrecision(3))} s`;
}
