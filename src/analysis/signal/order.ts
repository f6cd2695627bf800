import { CHANNELS } from '../../model/reading.ts';
import { History } from './history.ts';
import type { AsideCounter, SignalSink } from './types.ts';

/** Readings that may wait to be put in order; one more and the earliest goes on. */
const MOST_WAITING = 256;
/** Seconds that a reading waits for earlier ones: 2.5 usual intervals, within these bounds. */
const LEAST_WAIT_S = 10;
const MOST_WAIT_S = 120;
/** A step ahead is believed after so many readings or seconds of them. */
const MOST_HELD = 64;
const LONGEST_HELD_S = 120;
/** Readings in a row behind the clock that make a clock set back; fewer are late. */
const BACK_PROVEN = 8;
/** Slack for disorder among readings that wait for a step ahead to be believed [s]. */
const HELD_SLACK_S = 60;
const EARLIEST_S = 946_684_800; // 2000-01-01, before which no clock was set
const LATEST_S = 7_258_118_400; // 2200-01-01
const LONGEST_SILENCE_S = 400 * 86_400;
const RING = 512;

export interface OrderState {
  timeS: Float64Array;
  channel: Float64Array;
  value: Float64Array;
  head: number;
  count: number;
  emittedS: number;
  newestS: number;
  newestOfS: Float64Array;
  heldTimeS: Float64Array;
  heldChannel: Float64Array;
  heldValue: Float64Array;
  held: number;
  pending: number;
  jumpS: number;
  pendingLate: Float64Array;
  pendingSeen: Float64Array;
  isBack: number;
  waitS: number;
  aheadS: number;
  gapS: number;
}

/** Takes readings in order of time. */
export interface OrderedSink {
  take(timeS: number, channel: number, value: number, out: SignalSink): void;
}

/**
 * Puts readings in order of time (and channel at one time), drops those seen before, and judges
 * the clock: set back, ahead for a while, never set.
 */
export class Order {
  readonly history = new History();
  state: OrderState;
  readonly #counts: AsideCounter;

  constructor(counts: AsideCounter, aheadS: number) {
    this.#counts = counts;
    const none = Number.NEGATIVE_INFINITY;
    this.state = {
      timeS: new Float64Array(RING),
      channel: new Float64Array(RING),
      value: new Float64Array(RING),
      head: 0,
      count: 0,
      emittedS: none,
      newestS: none,
      newestOfS: new Float64Array(CHANNELS.length).fill(none),
      heldTimeS: new Float64Array(MOST_HELD),
      heldChannel: new Float64Array(MOST_HELD),
      heldValue: new Float64Array(MOST_HELD),
      held: 0,
      pending: 0,
      jumpS: 0,
      pendingLate: new Float64Array(CHANNELS.length),
      pendingSeen: new Float64Array(CHANNELS.length),
      isBack: 0,
      waitS: LEAST_WAIT_S,
      aheadS,
      gapS: aheadS,
    };
  }

  /** Follows the rate of the readings: usual interval and longest silence [s]. */
  setRate(slowestS: number, gapAfterS: number): void {
    this.state.waitS = Math.min(MOST_WAIT_S, Math.max(LEAST_WAIT_S, 2.5 * slowestS));
    this.state.gapS = gapAfterS;
    this.state.aheadS = Math.max(60, 2 * gapAfterS);
  }

  push(timeS: number, channel: number, value: number, next: OrderedSink, out: SignalSink): void {
    const state = this.state;
    if (!(timeS >= EARLIEST_S && timeS < LATEST_S)) {
      this.#wild(timeS, channel);
    } else if (state.held > 0) {
      this.#pushHeld(timeS, channel, value, next, out);
    } else if (timeS > state.newestS + state.aheadS) {
      this.#hold(timeS, channel, value);
    } else if (timeS < state.emittedS || (state.isBack === 1 && timeS <= state.newestS)) {
      this.#behind(timeS, channel, value, out);
    } else this.#accept(timeS, channel, value, next, out);
  }

  /** Hands on all that waits: nothing more comes. */
  flush(next: OrderedSink, out: SignalSink): void {
    const state = this.state;
    const silence = state.heldTimeS[0]! - state.newestS;
    if (state.held > 0 && silence > LONGEST_SILENCE_S && Number.isFinite(silence)) {
      this.#dropHeld(state.newestS, out);
    }
    this.#believeHeld(next, out);
    while (state.count > 0) this.#emit(next, out);
  }

  /** Whether a reading of the channel above a value waits behind the one now handed on. */
  comesBackAbove(channel: number, value: number): boolean {
    const { head, count, channel: channels, value: values } = this.state;
    for (let i = 0; i < count; i++) {
      const at = (head + i) & (RING - 1);
      if (channels[at] === channel && values[at]! > value) return true;
    }
    return false;
  }

  #wild(timeS: number, channel: number): void {
    if (timeS < EARLIEST_S) this.#counts.aside('clock-unset', channel, timeS);
    else if (timeS >= LATEST_S) this.#counts.aside('clock-ahead', channel, timeS);
    else this.#counts.aside('unreadable-time', channel, timeS);
  }

  #accept(timeS: number, channel: number, value: number, next: OrderedSink, out: SignalSink): void {
    const state = this.state;
    if (state.pending > 0 || state.isBack === 1) this.#clockIsRight(out);
    if (timeS > state.newestOfS[channel]!) state.newestOfS[channel] = timeS;
    else if (this.#isWaiting(timeS, channel) || this.history.lastTimeS(channel) === timeS) {
      this.#counts.aside('duplicate', channel, timeS);
      return;
    }
    this.#insert(timeS, channel, value);
    if (timeS > state.newestS) state.newestS = timeS;
    const untilS = state.newestS - state.waitS;
    while (state.count > 0 && (state.timeS[state.head]! <= untilS || state.count > MOST_WAITING)) {
      this.#emit(next, out);
    }
  }

  #insert(timeS: number, channel: number, value: number): void {
    const state = this.state;
    const { timeS: times, channel: channels, value: values, head } = state;
    let at = head + state.count;
    while (at > head) {
      const before = (at - 1) & (RING - 1);
      const beforeS = times[before]!;
      if (beforeS < timeS || (beforeS === timeS && channels[before]! < channel)) break;
      const here = at & (RING - 1);
      times[here] = beforeS;
      channels[here] = channels[before]!;
      values[here] = values[before]!;
      at--;
    }
    const here = at & (RING - 1);
    times[here] = timeS;
    channels[here] = channel;
    values[here] = value;
    state.count++;
  }

  #emit(next: OrderedSink, out: SignalSink): void {
    const state = this.state;
    const at = state.head;
    const timeS = state.timeS[at]!;
    const channel = state.channel[at]!;
    const value = state.value[at]!;
    state.head = (at + 1) & (RING - 1);
    state.count--;
    state.emittedS = timeS;
    this.history.add(timeS, channel, value);
    next.take(timeS, channel, value, out);
  }

  #isWaiting(timeS: number, channel: number): boolean {
    const { head, count, timeS: times, channel: channels } = this.state;
    for (let i = 0; i < count; i++) {
      const at = (head + i) & (RING - 1);
      if (times[at] === timeS && channels[at] === channel) return true;
    }
    return false;
  }

  /**
   * A reading older than what went on. Seen before: a duplicate. Else late, unless so many
   * follow each other that the clock must have been set back. Old readings that fall into a gap
   * were kept by the device and sent afterwards: they are late, and say nothing of the clock.
   */
  #behind(timeS: number, channel: number, value: number, out: SignalSink): void {
    const state = this.state;
    if (state.isBack === 1) {
      this.#counts.aside('clock-back', channel, timeS);
      return;
    }
    const seen = this.history.find(timeS, channel);
    if (seen === 'gap' && this.history.gapAround(timeS, channel) > state.gapS) {
      this.#counts.aside('late', channel, timeS);
      return;
    }
    const isSeen = typeof seen === 'number';
    this.#counts.aside(isSeen ? 'duplicate' : 'late', channel, timeS);
    if (isSeen && Object.is(seen, value)) return;
    const tally = isSeen ? state.pendingSeen : state.pendingLate;
    tally[channel]! += 1;
    if (state.pending === 0) state.jumpS = timeS - state.newestS;
    state.pending++;
    if (state.pending < BACK_PROVEN) return;
    state.isBack = 1;
    for (let one = 0; one < CHANNELS.length; one++) {
      this.#counts.move('late', 'clock-back', one, state.pendingLate[one]!);
      this.#counts.move('duplicate', 'clock-back', one, state.pendingSeen[one]!);
    }
    const detail = { channel: null, phase: 'begins', value: state.jumpS } as const;
    out.event('clock-jump', state.emittedS, detail);
  }

  #clockIsRight(out: SignalSink): void {
    const state = this.state;
    state.pending = 0;
    state.pendingLate.fill(0);
    state.pendingSeen.fill(0);
    if (state.isBack === 0) return;
    state.isBack = 0;
    out.event('clock-jump', state.emittedS, { channel: null, phase: 'ends', value: 0 });
  }

  #hold(timeS: number, channel: number, value: number): void {
    const state = this.state;
    state.heldTimeS[state.held] = timeS;
    state.heldChannel[state.held] = channel;
    state.heldValue[state.held] = value;
    state.held++;
  }

  /** While a step ahead is not yet believed. */
  #pushHeld(
    timeS: number,
    channel: number,
    value: number,
    next: OrderedSink,
    out: SignalSink,
  ): void {
    const state = this.state;
    const firstS = state.heldTimeS[0]!;
    if (timeS < firstS - HELD_SLACK_S) {
      if (timeS < state.emittedS) this.#behind(timeS, channel, value, out);
      else {
        this.#dropHeld(timeS, out);
        this.push(timeS, channel, value, next, out);
      }
    } else if (state.held === MOST_HELD || timeS - firstS >= LONGEST_HELD_S) {
      this.#believeHeld(next, out);
      this.push(timeS, channel, value, next, out);
    } else this.#hold(timeS, channel, value);
  }

  #dropHeld(returnS: number, out: SignalSink): void {
    const state = this.state;
    const aheadS = state.heldTimeS[0]! - returnS;
    for (let i = 0; i < state.held; i++) {
      this.#counts.aside('clock-ahead', state.heldChannel[i]!, state.heldTimeS[i]!);
    }
    state.held = 0;
    // At the start of a log nothing tells which clock was right: then it is only counted.
    if (!Number.isFinite(state.emittedS)) return;
    out.event('clock-jump', state.emittedS, { channel: null, phase: 'begins', value: aheadS });
    out.event('clock-jump', state.emittedS, { channel: null, phase: 'ends', value: 0 });
  }

  #believeHeld(next: OrderedSink, out: SignalSink): void {
    const state = this.state;
    const held = state.held;
    state.held = 0;
    for (let i = 0; i < held; i++) {
      const timeS = state.heldTimeS[i]!;
      if (timeS < state.emittedS) {
        this.#behind(timeS, state.heldChannel[i]!, state.heldValue[i]!, out);
      } else this.#accept(timeS, state.heldChannel[i]!, state.heldValue[i]!, next, out);
    }
  }
}
