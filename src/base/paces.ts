/** So many senders are remembered; of more the one that was quiet for longest begins anew. */
const MOST_SENDERS = 4096;

/**
 * How much each of many senders may send: a bucket each that fills at `perS` up to `burst`, and
 * that what was sent is taken out of (common practice). Seconds are by any clock that only goes on.
 */
export class Paces {
  readonly #perS: number;
  readonly #burst: number;
  readonly #left = new Map<string, { amount: number; atS: number }>();

  constructor({ perS, burst }: { perS: number; burst: number }) {
    this.#perS = perS;
    this.#burst = burst;
  }

  /** How long a sender has to wait until something of it is taken again [s]; mostly 0. */
  waitS(sender: string, nowS: number): number {
    return Math.max(0, -this.#amount(sender, nowS) / this.#perS);
  }

  /** So much was taken of a sender; more than it had is waited for afterwards. */
  spend(sender: string, amount: number, nowS: number): void {
    const left = this.#amount(sender, nowS) - amount;
    // Put at the end, so that those quiet for longest stand first.
    this.#left.delete(sender);
    this.#left.set(sender, { amount: left, atS: nowS });
    if (this.#left.size <= MOST_SENDERS) return;
    const [quiet] = this.#left.keys();
    this.#left.delete(quiet!);
  }

  #amount(sender: string, nowS: number): number {
    const left = this.#left.get(sender);
    if (left === undefined) return this.#burst;
    return Math.min(this.#burst, left.amount + (nowS - left.atS) * this.#perS);
  }
}
