import { CHANNELS } from '../../model/reading.ts';
import { RAW_OF } from '../../model/well.ts';
import { PSI_PA } from '../../units/table.ts';
import type { AsideCounter, SignalConfig, SignalSink } from './types.ts';

const PRESSURE = 0;
const CURRENT = 1;
const UNJUDGED = -1;
/** What a channel is judged as: raw forms as what they become, others not at all. */
const JUDGED_AS = Int8Array.from(CHANNELS, (channel) => {
  const becomes = CHANNELS.indexOf(RAW_OF[channel] ?? channel);
  return becomes > CURRENT ? UNJUDGED : becomes;
});
/** Readings in a row outside the same end of the range that make a wire fault of it. */
const WIRE_PROVEN = 3;
/** Pressure from which a single 0 or -1 is a lost reading, not an empty tank: 10 psi [Pa]. */
const DROP_FROM_PA = 68_948;
/**
 * -1 in psi, kPa and Pa, as devices write for "no value" (handbook of the trade: common practice).
 */
const NO_VALUE_PA = [0, -6894.757293168361, -1000, -1];
/** A full 16-bit counter, as it is and counting hundredths; for a pressure in psi or kPa [Pa]. */
const FULL = [65_535, 655.35];
const FULL_PA = [65_535 * PSI_PA, 655.35 * PSI_PA, 65_535 * 1000];
/** Repetition is learnt from blocks of readings, and judged after so many of them. */
const BLOCK = 64;
const LEAST_BLOCKS = 20;
/** A channel that repeats more than this share in its calmest block has no noise to miss. */
const MOST_REPEATING = 0.8;
const LEAST_REPEATING = 0.05;
/** Chance of a repetition as long in a sound channel at which it counts as proven stuck. */
const CHANCE = 1e-12;
const LEAST_REPEATS = 10;
const NATURAL_TIMES = 3;
/** Changes of the other channel during the repetition; without them ten times the length. */
const OTHER_MOVED = 5;
const BOTH_STILL_TIMES = 10;

export interface JudgeState {
  lastValue: Float64Array;
  repeats: Float64Array;
  longest: Float64Array;
  blockCount: Float64Array;
  blockRepeats: Float64Array;
  blocks: Float64Array;
  calmest: Float64Array;
  stuckAt: Float64Array;
  changes: Float64Array;
  otherAtStart: Float64Array;
  isStuck: Float64Array;
  side: number;
  sideCount: number;
  wire: number;
}

/** Judges single values: outside what the sensor can say, lost, or stuck. */
export class Judge {
  state: JudgeState;
  readonly #counts: AsideCounter;
  readonly #lowest: Float64Array;
  readonly #highest: Float64Array;

  constructor(config: SignalConfig, counts: AsideCounter) {
    this.#counts = counts;
    this.#lowest = Float64Array.from(CHANNELS, (_, i) => config.lowest[i] ?? -Infinity);
    this.#highest = Float64Array.from(CHANNELS, (_, i) => config.highest[i] ?? Infinity);
    const two = () => new Float64Array(2);
    this.state = {
      lastValue: two().fill(Number.NaN),
      repeats: two(),
      longest: two(),
      blockCount: two(),
      blockRepeats: two(),
      blocks: two(),
      calmest: two(),
      stuckAt: two().fill(Number.POSITIVE_INFINITY),
      changes: two(),
      otherAtStart: two(),
      isStuck: two(),
      side: 0,
      sideCount: 0,
      wire: 0,
    };
  }

  /** Whether the sensor can say the value; counts and tells it when not. */
  isInside(timeS: number, channel: number, value: number, out: SignalSink): boolean {
    if (value >= this.#lowest[channel]! && value <= this.#highest[channel]!) {
      if (this.state.side !== 0 && JUDGED_AS[channel] === PRESSURE) {
        this.#wireIsWell(timeS, value, out);
      }
      return true;
    }
    const reason = isFull(channel, value) ? 'counter-full' : 'outside-sensor-range';
    this.#counts.aside(reason, channel, timeS);
    if (JUDGED_AS[channel] === PRESSURE) this.#outside(timeS, channel, value, out);
    return false;
  }

  /**
   * Whether a pressure may be a lost reading: what a device writes for no value, out of the blue.
   */
  maybeLost(value: number): boolean {
    return this.state.lastValue[PRESSURE]! > DROP_FROM_PA && NO_VALUE_PA.includes(value);
  }

  /** The last pressure that was believed [Pa]. */
  get lastPressurePa(): number {
    return this.state.lastValue[PRESSURE]!;
  }

  /**
   * Whether the value is believed, as against stuck. Only pressure and current are judged, and
   * a current of exactly 0 never, as that is what many sensors say at rest.
   */
  isLive(
    timeS: number,
    channel: number,
    value: number,
    onChange: boolean,
    out: SignalSink,
  ): boolean {
    const state = this.state;
    const kind = JUDGED_AS[channel]!;
    if (kind === UNJUDGED) return true;
    if (value !== state.lastValue[kind]) {
      this.#changed(timeS, kind, value, out);
      return true;
    }
    if (kind === CURRENT && value === 0) return true;
    const repeats = state.repeats[kind]! + 1;
    state.repeats[kind] = repeats;
    if (repeats >= state.stuckAt[kind]! && !onChange && this.#isProven(kind, repeats)) {
      if (state.isStuck[kind] === 0) {
        state.isStuck[kind] = 1;
        out.event('adc-stuck', timeS, { channel: kind, phase: 'begins', value });
      }
      this.#counts.aside('stuck', channel, timeS);
      return false;
    }
    return true;
  }

  #changed(timeS: number, kind: number, value: number, out: SignalSink): void {
    const state = this.state;
    const repeats = state.repeats[kind]!;
    if (state.isStuck[kind] === 1) {
      state.isStuck[kind] = 0;
      out.event('adc-stuck', timeS, { channel: kind, phase: 'ends', value });
    } else {
      // Only now is it known that the repeats were no standstill, which must not teach calm.
      state.longest[kind] = Math.max(state.longest[kind]!, repeats);
      if (kind !== CURRENT || state.lastValue[kind] !== 0) this.#countInBlock(kind, repeats);
    }
    state.lastValue[kind] = value;
    state.repeats[kind] = 0;
    state.changes[kind]! += 1;
    state.otherAtStart[kind] = state.changes[1 - kind]!;
  }

  #isProven(channel: number, repeats: number): boolean {
    const state = this.state;
    if (state.isStuck[channel] === 1) return true;
    const moved = state.changes[1 - channel]! - state.otherAtStart[channel]!;
    return moved >= OTHER_MOVED || repeats >= BOTH_STILL_TIMES * state.stuckAt[channel]!;
  }

  /** Learns from each block how much a sound channel repeats itself when it is calmest. */
  #countInBlock(channel: number, repeats: number): void {
    const state = this.state;
    const count = state.blockCount[channel]! + repeats + 1;
    state.blockCount[channel] = count;
    state.blockRepeats[channel]! += repeats;
    if (count < BLOCK) return;
    const share = state.blockRepeats[channel]! / count;
    state.blockCount[channel] = 0;
    state.blockRepeats[channel] = 0;
    state.blocks[channel]! += 1;
    if (share > state.calmest[channel]!) state.calmest[channel] = share;
    if (state.blocks[channel]! < LEAST_BLOCKS) return;
    const calmest = state.calmest[channel]!;
    const byChance = Math.log(CHANCE) / Math.log(Math.max(calmest, LEAST_REPEATING));
    state.stuckAt[channel] =
      calmest > MOST_REPEATING
        ? Number.POSITIVE_INFINITY
        : Math.max(LEAST_REPEATS, byChance, NATURAL_TIMES * state.longest[channel]!);
  }

  #outside(timeS: number, channel: number, value: number, out: SignalSink): void {
    const state = this.state;
    const side = value < this.#lowest[channel]! ? -1 : 1;
    state.sideCount = state.side === side ? state.sideCount + 1 : 1;
    state.side = side;
    if (state.sideCount < WIRE_PROVEN || state.wire === side) return;
    if (state.wire !== 0) this.#tellWire(timeS, value, 'ends', out);
    state.wire = side;
    this.#tellWire(timeS, value, 'begins', out);
  }

  #wireIsWell(timeS: number, value: number, out: SignalSink): void {
    const state = this.state;
    if (state.wire !== 0) this.#tellWire(timeS, value, 'ends', out);
    state.wire = 0;
    state.side = 0;
    state.sideCount = 0;
  }

  #tellWire(timeS: number, value: number, phase: 'begins' | 'ends', out: SignalSink): void {
    const kind = this.state.wire < 0 ? 'pressure-wire-open' : 'pressure-wire-short';
    out.event(kind, timeS, { channel: PRESSURE, phase, value });
  }
}

/** Whether a value outside the range is a full counter; other channels are not told by it. */
function isFull(channel: number, value: number): boolean {
  if (channel === PRESSURE) return FULL_PA.includes(value);
  return JUDGED_AS[channel] !== UNJUDGED && FULL.includes(value);
}
