import type { Bucket } from '../ports/reading-store.ts';

/** Least, greatest and sum of readings that lie close together in time. */
export interface Summary {
  firstS: number;
  lastS: number;
  count: number;
  least: number;
  greatest: number;
  sum: number;
}

/** Gathers readings into stretches of equal length. */
export class BucketSums {
  readonly #fromS: number;
  readonly #toS: number;
  readonly #count: number;
  readonly #sums: Float64Array;
  readonly #counts: Float64Array;
  readonly #least: Float64Array;
  readonly #greatest: Float64Array;

  constructor({ fromS, toS, count }: { fromS: number; toS: number; count: number }) {
    if (!(toS > fromS && count >= 1 && Number.isSafeInteger(count)))
      throw new RangeError(`buckets: expected a span and a count, found ${fromS} ${toS} ${count}`);
    this.#fromS = fromS;
    this.#toS = toS;
    this.#count = count;
    this.#sums = new Float64Array(count);
    this.#counts = new Float64Array(count);
    this.#least = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
    this.#greatest = new Float64Array(count).fill(Number.NEGATIVE_INFINITY);
  }

  add(timeS: number, value: number): void {
    this.addAll([timeS], [value]);
  }

  /** Readings by time. */
  addAll(timeS: ArrayLike<number>, value: ArrayLike<number>): void {
    let i = -1;
    let untilS = Number.NEGATIVE_INFINITY;
    for (let k = 0; k < timeS.length; k++) {
      const t = timeS[k]!;
      if (t >= untilS) {
        i = this.#indexOf(t);
        untilS = i < 0 ? Number.NEGATIVE_INFINITY : this.#startS(i + 1);
      }
      if (i < 0) continue;
      const v = value[k]!;
      this.#counts[i]!++;
      this.#sums[i]! += v;
      if (v < this.#least[i]!) this.#least[i] = v;
      if (v > this.#greatest[i]!) this.#greatest[i] = v;
    }
  }

  /** False, and nothing is added, where the readings do not lie in one stretch. */
  addWhole(summary: Summary): boolean {
    const i = this.#indexOf(summary.firstS);
    if (i < 0 || i !== this.#indexOf(summary.lastS)) return false;
    this.#counts[i]! += summary.count;
    this.#sums[i]! += summary.sum;
    this.#least[i] = Math.min(this.#least[i]!, summary.least);
    this.#greatest[i] = Math.max(this.#greatest[i]!, summary.greatest);
    return true;
  }

  buckets(): Bucket[] {
    return Array.from({ length: this.#count }, (_, i) => {
      const count = this.#counts[i]!;
      const fromS = this.#startS(i);
      if (count === 0) return { fromS, count, least: null, greatest: null, mean: null };
      // Zero of one sign only, as a file keeps it.
      const [least, greatest] = [this.#least[i]! + 0, this.#greatest[i]! + 0];
      return { fromS, count, least, greatest, mean: this.#sums[i]! / count };
    });
  }

  #startS(i: number): number {
    return this.#fromS + ((this.#toS - this.#fromS) * i) / this.#count;
  }

  /** The last stretch that does not start after the instant, -1 outside the span. */
  #indexOf(timeS: number): number {
    if (!(timeS >= this.#fromS && timeS < this.#toS)) return -1;
    const share = (timeS - this.#fromS) / (this.#toS - this.#fromS);
    let i = Math.min(Math.floor(share * this.#count), this.#count - 1);
    while (i > 0 && this.#startS(i) > timeS) i--;
    while (i + 1 < this.#count && this.#startS(i + 1) <= timeS) i++;
    return i;
  }
}
