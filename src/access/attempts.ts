import { networkOf } from '../base/network-of.ts';
import { Paces } from '../base/paces.ts';
import { ACCESS_LIMITS } from './limits.ts';

const { triesAnAddress, tryAgainS, triesInAll, tryAgainInAllS } = ACCESS_LIMITS;
const ALL = '';

/**
 * How often a passphrase may be tried: so often at once, then one more each so many seconds, by
 * each address and by all together. One that was right costs nothing, and buys no further ones:
 * else who may sign in as a reader could try what opens to the owner without an end.
 */
export class Attempts {
  readonly #nowS: () => number;
  // A pace lets through whoever owes nothing, so the last of the tries is the one that owes.
  readonly #ofOne = new Paces({ perS: 1 / tryAgainS, burst: triesAnAddress - 1 });
  readonly #ofAll = new Paces({ perS: 1 / tryAgainInAllS, burst: triesInAll - 1 });

  /** `nowS`: a clock that nobody sets. */
  constructor(nowS: () => number) {
    this.#nowS = nowS;
  }

  /** Takes a try; false where none is left. */
  take(address: string): boolean {
    const nowS = this.#nowS();
    const from = networkOf(address);
    if (this.#ofOne.waitS(from, nowS) > 0 || this.#ofAll.waitS(ALL, nowS) > 0) return false;
    this.#spend(from, 1, nowS);
    return true;
  }

  succeeded(address: string): void {
    this.#spend(networkOf(address), -1, this.#nowS());
  }

  #spend(from: string, tries: number, nowS: number): void {
    this.#ofOne.spend(from, tries, nowS);
    this.#ofAll.spend(ALL, tries, nowS);
  }
}
