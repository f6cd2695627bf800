import { networkOf } from '../base/network-of.ts';
import { ACCESS_LIMITS } from './limits.ts';

interface Bucket {
  left: number;
  atS: number;
}

const { triesAnAddress, tryAgainS, triesInAll, tryAgainInAllS, addresses } = ACCESS_LIMITS;

/**
 * How often a passphrase may be tried: so often at once, then one more each so many seconds, by
 * each address and by all together. One that was right costs nothing.
 */
export class Attempts {
  readonly #nowS: () => number;
  readonly #of = new Map<string, Bucket>();
  readonly #all: Bucket;

  /** `nowS`: a clock that nobody sets. */
  constructor(nowS: () => number) {
    this.#nowS = nowS;
    this.#all = { left: triesInAll, atS: nowS() };
  }

  /** Takes a try; false where none is left. */
  take(address: string): boolean {
    const nowS = this.#nowS();
    const from = networkOf(address);
    const own = this.#of.get(from) ?? { left: triesAnAddress, atS: nowS };
    refill(own, { nowS, most: triesAnAddress, eachS: tryAgainS });
    refill(this.#all, { nowS, most: triesInAll, eachS: tryAgainInAllS });
    // The latest stand last, so that the first is the one to forget.
    this.#of.delete(from);
    this.#of.set(from, own);
    if (this.#of.size > addresses) this.#of.delete(this.#of.keys().next().value!);
    if (own.left < 1 || this.#all.left < 1) return false;
    own.left -= 1;
    this.#all.left -= 1;
    return true;
  }

  succeeded(address: string): void {
    this.#of.delete(networkOf(address));
    this.#all.left += 1;
  }
}

function refill(
  bucket: Bucket,
  { nowS, most, eachS }: { nowS: number; most: number; eachS: number },
): void {
  bucket.left = Math.min(most, bucket.left + (nowS - bucket.atS) / eachS);
  bucket.atS = nowS;
}
