import {
  CHANNELS,
  type ReadingBatch,
  SET_ASIDE,
  type SetAsideReason,
  type SetAsideTally,
} from '../../model/reading.ts';

const FIRST_LINES_KEPT = 10;
/** Channel number of what belongs to no known channel. */
export const NO_CHANNEL = CHANNELS.length;

/** Counts of what a log offered and what of it was set aside. */
export class Tally {
  readonly offered = new Float64Array(CHANNELS.length + 1);
  used = 0;
  readonly #counts = new Float64Array(SET_ASIDE.length);
  readonly #firstAt: string[][] = SET_ASIDE.map(() => []);

  /** Sets one offered reading aside. */
  aside(reason: SetAsideReason, at: string): void {
    const index = SET_ASIDE.indexOf(reason);
    this.#counts[index]! += 1;
    const first = this.#firstAt[index]!;
    if (first.length < FIRST_LINES_KEPT && first.at(-1) !== at) first.push(at);
  }

  tallies(): SetAsideTally[] {
    return SET_ASIDE.map((reason, i) => ({
      reason,
      count: this.#counts[i]!,
      firstAt: this.#firstAt[i]!,
    })).filter((tally) => tally.count > 0);
  }
}

/** Gathers readings into one batch that grows as needed and is used again. */
export class Collector {
  batch: ReadingBatch = emptyBatch(8192);
  /** Latest time in the batch; -Infinity when empty. */
  latestS = Number.NEGATIVE_INFINITY;

  add(timeS: number, channel: number, value: number): void {
    let batch = this.batch;
    if (batch.count === batch.timeS.length) batch = this.#grow();
    const i = batch.count;
    batch.timeS[i] = timeS;
    batch.channel[i] = channel;
    batch.value[i] = value;
    batch.count = i + 1;
    if (timeS > this.latestS) this.latestS = timeS;
  }

  clear(): void {
    this.batch.count = 0;
    this.latestS = Number.NEGATIVE_INFINITY;
  }

  #grow(): ReadingBatch {
    const old = this.batch;
    const larger = emptyBatch(old.timeS.length * 2);
    larger.timeS.set(old.timeS);
    larger.channel.set(old.channel);
    larger.value.set(old.value);
    larger.count = old.count;
    this.batch = larger;
    return larger;
  }
}

function emptyBatch(size: number): ReadingBatch {
  return {
    count: 0,
    timeS: new Float64Array(size),
    channel: new Uint8Array(size),
    value: new Float64Array(size),
  };
}
