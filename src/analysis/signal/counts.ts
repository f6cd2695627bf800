import {
  CHANNELS,
  SET_ASIDE,
  type SetAsideReason,
  type SetAsideTally,
} from '../../model/reading.ts';
import type { AsideCounter } from './types.ts';

const FIRST_KEPT = 10;
const WIDTH = CHANNELS.length;

export interface CountsState {
  used: Float64Array;
  aside: Float64Array;
  firstS: number[][];
}

/** Counts readings used, and set aside by reason, for each channel. */
export class Counts implements AsideCounter {
  state: CountsState = {
    used: new Float64Array(WIDTH),
    aside: new Float64Array(SET_ASIDE.length * WIDTH),
    firstS: SET_ASIDE.map(() => []),
  };

  aside(reason: SetAsideReason, channel: number, timeS: number): void {
    const index = SET_ASIDE.indexOf(reason);
    this.state.aside[index * WIDTH + channel]! += 1;
    const first = this.state.firstS[index]!;
    if (first.length < FIRST_KEPT) first.push(timeS);
  }

  move(from: SetAsideReason, to: SetAsideReason, channel: number, count: number): void {
    const source = SET_ASIDE.indexOf(from);
    const target = SET_ASIDE.indexOf(to);
    this.state.aside[source * WIDTH + channel]! -= count;
    this.state.aside[target * WIDTH + channel]! += count;
  }

  /** Readings of a channel set aside for a reason. */
  of(reason: SetAsideReason, channel: number): number {
    return this.state.aside[SET_ASIDE.indexOf(reason) * WIDTH + channel]!;
  }

  /** By reason over all channels; `firstAt` gives times, as lines are not known here. */
  tallies(): SetAsideTally[] {
    return SET_ASIDE.map((reason, i) => ({
      reason,
      count: this.state.aside.subarray(i * WIDTH, (i + 1) * WIDTH).reduce((a, b) => a + b, 0),
      firstAt: this.state.firstS[i]!.map(inWords),
    })).filter((tally) => tally.count > 0);
  }
}

function inWords(timeS: number): string {
  const date = new Date(timeS * 1000);
  return Number.isNaN(date.getTime()) ? `${timeS} s` : date.toISOString();
}
