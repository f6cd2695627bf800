import { CHANNELS } from '../../model/reading.ts';

/** Readings of each channel remembered to know a repeated block: 17 min at 1 Hz, 85 min at 5 s. */
const REMEMBERED = 1024;

export interface HistoryState {
  timeS: Float64Array;
  value: Float64Array;
  count: Float64Array;
}

/** The last readings of each channel, in order of time. */
export class History {
  state: HistoryState = {
    timeS: new Float64Array(CHANNELS.length * REMEMBERED),
    value: new Float64Array(CHANNELS.length * REMEMBERED),
    count: new Float64Array(CHANNELS.length),
  };

  add(timeS: number, channel: number, value: number): void {
    const state = this.state;
    const count = state.count[channel]!;
    const at = channel * REMEMBERED + (count & (REMEMBERED - 1));
    state.timeS[at] = timeS;
    state.value[at] = value;
    state.count[channel] = count + 1;
  }

  lastTimeS(channel: number): number {
    const count = this.state.count[channel]!;
    return count === 0 ? Number.NaN : this.#timeAt(channel, count - 1);
  }

  /** The value at a time; `gap` between two remembered times; `older` than all of them. */
  find(timeS: number, channel: number): number | 'gap' | 'older' {
    const after = this.#firstAfter(timeS, channel);
    const count = this.state.count[channel]!;
    if (after === Math.max(0, count - REMEMBERED)) return 'older';
    const at = channel * REMEMBERED + ((after - 1) & (REMEMBERED - 1));
    if (this.state.timeS[at] === timeS) return this.state.value[at]!;
    return 'gap';
  }

  /** Seconds between the remembered readings on either side of a time; 0 without both. */
  gapAround(timeS: number, channel: number): number {
    const after = this.#firstAfter(timeS, channel);
    const count = this.state.count[channel]!;
    if (after === Math.max(0, count - REMEMBERED) || after === count) return 0;
    return this.#timeAt(channel, after) - this.#timeAt(channel, after - 1);
  }

  #timeAt(channel: number, number: number): number {
    return this.state.timeS[channel * REMEMBERED + (number & (REMEMBERED - 1))]!;
  }

  /** Number of the first remembered reading later than a time. */
  #firstAfter(timeS: number, channel: number): number {
    let high = this.state.count[channel]!;
    let low = Math.max(0, high - REMEMBERED);
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (this.#timeAt(channel, middle) <= timeS) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}
