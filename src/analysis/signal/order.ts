import { CHANNELS } from '../../model/reading.ts';
import { History } from './history.ts';
import type { AsideCounter, SignalSink } from './types.ts';

/** Readings that may wait to be put in order; one more and the earliest goes on. */
const MOST_WAITING = 256;
/** Seconds that a reading waits for earlier ones: 2.5 usual intervals, within these bounds. */
const LEAST_WAIT_S = 10;
const MOST_WAIT_S = 120;
/**
 * A step ahead is believed once readings have gone on from there for a share of the step, within
 * these bounds [s]: a clock that was wrong after all costs as much of the log as it stepped. The
 * first readings of a log are believed sooner, as there is nothing to lose yet.
 */
const HELD_SHARE = 1 / 72;
const LEAST_HELD_S = 120;
const LONGEST_HELD_S = 1200;
const MOST_HELD = 4096;
const MOST_HELD_AT_START = 64;
/** Readings in a row that fall into the gap of a step believed, four times those beyond it. */
const AHEAD_PROVEN = 4096;
const AHEAD_PROVEN_TIMES = 4;
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
  /** Readings after a step ahead that is not yet believed, and where the last step of them is. */
  heldTimeS: number[];
  heldChannel: number[];
  heldValue: number[];
  heldStepAt: number;
  /** Readings taken since the last step ahead, and in a row set aside as in its gap. */
  sinceStep: number;
  inGap: number;
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
      heldTimeS: [],
      heldChannel: [],
      heldValue: [],
      heldStepAt: 0,
      sinceStep: 0,
      inGap: 0,
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
    } else if (state.heldTimeS.length > 0) {
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
    const held = state.heldTimeS;
    const silence = held[0]! - state.newestS;
    const proven = held.length >= MOST_HELD_AT_START || held.at(-1)! - held[0]! >= LEAST_HELD_S;
    if (!proven && silence > LONGEST_SILENCE_S && Number.isFinite(silence)) {
      this.#dropHeld(0, state.newestS, out);
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
    if (state.pending + state.inGap + state.isBack > 0) this.#clockIsRight(out);
    state.sinceStep++;
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
      this.#inGap(timeS, channel, out);
      return;
    }
    const isSeen = typeof seen === 'number';
    this.#counts.aside(isSeen ? 'duplicate' : 'late', channel, timeS);
    if (isSeen && Object.is(seen, value)) return;
    const tally = isSeen ? state.pendingSeen : state.pendingLate;
    tally[channel]! += 1;
    if (state.pending === 0) state.jumpS = timeS - state.newestS;
    state.pending++;
    if (state.pending >= BACK_PROVEN) this.#clockIsBack(out);
  }

  /**
   * Readings without end in the gap of a step ahead, and hardly any beyond it: the clock was ahead
   * for longer than a step is doubted.
   */
  #inGap(timeS: number, channel: number, out: SignalSink): void {
    const state = this.state;
    if (state.inGap === 0) state.jumpS = timeS - state.newestS;
    state.inGap++;
    state.pendingLate[channel]! += 1;
    const proof = Math.max(AHEAD_PROVEN, AHEAD_PROVEN_TIMES * state.sinceStep);
    if (state.inGap >= proof) this.#clockIsBack(out);
  }

  #clockIsBack(out: SignalSink): void {
    const state = this.state;
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
    state.inGap = 0;
    state.pendingLate.fill(0);
    state.pendingSeen.fill(0);
    if (state.isBack === 0) return;
    state.isBack = 0;
    out.event('clock-jump', state.emittedS, { channel: null, phase: 'ends', value: 0 });
  }

  #hold(timeS: number, channel: number, value: number): void {
    const state = this.state;
    const before = state.heldTimeS.at(-1);
    if (before !== undefined && timeS > before + state.aheadS) {
      state.heldStepAt = state.heldTimeS.length;
    }
    state.heldTimeS.push(timeS);
    state.heldChannel.push(channel);
    state.heldValue.push(value);
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
    const stepToS = state.heldTimeS[state.heldStepAt]!;
    if (timeS < state.emittedS) this.#behind(timeS, channel, value, out);
    // Out of order from before the step: that says nothing of the clock.
    else if (timeS <= state.newestS) this.#accept(timeS, channel, value, next, out);
    else if (timeS < stepToS - HELD_SLACK_S) {
      this.#dropHeld(state.heldStepAt, timeS, out);
      this.push(timeS, channel, value, next, out);
    } else if (this.#isProven(timeS)) {
      this.#believeHeld(next, out);
      this.push(timeS, channel, value, next, out);
    } else this.#hold(timeS, channel, value);
  }

  /** Whether those held have gone on for long enough, by a reading that goes on from them. */
  #isProven(timeS: number): boolean {
    const { heldTimeS, heldStepAt, newestS, aheadS } = this.state;
    if (heldTimeS.length >= MOST_HELD) return true;
    if (timeS > heldTimeS.at(-1)! + aheadS) return false;
    const stepToS = heldTimeS[heldStepAt]!;
    const fromS = heldStepAt === 0 ? newestS : heldTimeS[heldStepAt - 1]!;
    if (!Number.isFinite(fromS)) {
      return heldTimeS.length >= MOST_HELD_AT_START || timeS - stepToS >= LEAST_HELD_S;
    }
    const doubtedS = Math.min(LONGEST_HELD_S, HELD_SHARE * (stepToS - fromS));
    return timeS - stepToS >= Math.max(LEAST_HELD_S, doubtedS);
  }

  /** Sets those held aside, from a step on: the clock is back before it. */
  #dropHeld(from: number, returnS: number, out: SignalSink): void {
    const state = this.state;
    const { heldTimeS, heldChannel, heldValue } = state;
    const aheadS = heldTimeS[from]! - returnS;
    for (let i = from; i < heldTimeS.length; i++) {
      this.#counts.aside('clock-ahead', heldChannel[i]!, heldTimeS[i]!);
    }
    for (const list of [heldTimeS, heldChannel, heldValue]) list.length = from;
    state.heldStepAt = lastStep(heldTimeS, state.aheadS);
    // At the start of a log nothing tells which clock was right: then it is only counted.
    if (!Number.isFinite(state.emittedS)) return;
    out.event('clock-jump', state.emittedS, { channel: null, phase: 'begins', value: aheadS });
    out.event('clock-jump', state.emittedS, { channel: null, phase: 'ends', value: 0 });
  }

  #believeHeld(next: OrderedSink, out: SignalSink): void {
    const state = this.state;
    const { heldTimeS, heldChannel, heldValue } = state;
    state.heldTimeS = [];
    state.heldChannel = [];
    state.heldValue = [];
    state.heldStepAt = 0;
    state.sinceStep = 0;
    for (const [i, timeS] of heldTimeS.entries()) {
      if (timeS < state.emittedS) this.#behind(timeS, heldChannel[i]!, heldValue[i]!, out);
      else this.#accept(timeS, heldChannel[i]!, heldValue[i]!, next, out);
    }
  }
}

/** Where the last step ahead stands in a list of times; 0 without one. */
function lastStep(timeS: readonly number[], aheadS: number): number {
  for (let i = timeS.length - 1; i > 0; i--) if (timeS[i]! > timeS[i - 1]! + aheadS) return i;
  return 0;
}
