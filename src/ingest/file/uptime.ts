import type { SetAsideReason } from '../../model/reading.ts';

/** A 32-bit counter of milliseconds starts again after 49.7 days. */
const WRAP_S = 2 ** 32 / 1000;
/** A clock that was never set shows a time near 1970 or 2000: no anchor. 2000-01-02T00:00:00Z. */
export const LEAST_SET_S = 946_771_200;
/** Readings kept while no anchor is known; one more and the oldest is set aside. */
export const BACKLOG_LIMIT = 200_000;

interface Boot {
  wraps: number;
  lastRawS: number;
  /** Unix s at uptime 0, NaN until a row has both. */
  anchorS: number;
}

interface Waiting {
  boot: number;
  uptimeS: number;
  channel: number;
  value: number;
  at: string;
}

interface Out {
  add(timeS: number, channel: number, value: number): void;
  aside(reason: SetAsideReason, at: string): void;
}

/** Times of a device without a clock: uptime since a boot, anchored by a row with both. */
export class UptimeClock {
  readonly #boots = new Map<number, Boot>();
  #waiting: Waiting[] = [];
  #dropped = 0;

  /** Uptime [s] of a boot with the wraps of its counter put back. */
  unwrapped(bootId: number, rawS: number): number {
    const boot = this.#boot(bootId);
    if (rawS < boot.lastRawS - WRAP_S / 2) boot.wraps++;
    else if (rawS > boot.lastRawS + WRAP_S / 2 && boot.wraps > 0) {
      return rawS + (boot.wraps - 1) * WRAP_S;
    }
    boot.lastRawS = rawS;
    return rawS + boot.wraps * WRAP_S;
  }

  /** Unix s at an uptime of a boot, NaN while the boot has no anchor. */
  timeOf(bootId: number, uptimeS: number): number {
    return this.#boot(bootId).anchorS + uptimeS;
  }

  /** Takes a row that has both; hands on what waited for it. */
  anchor(bootId: number, uptimeS: number, timeS: number, out: Out): void {
    const boot = this.#boot(bootId);
    const first = Number.isNaN(boot.anchorS);
    boot.anchorS = timeS - uptimeS;
    if (!first || this.#waiting.length === 0) return;
    const rest: Waiting[] = [];
    for (let i = this.#dropped; i < this.#waiting.length; i++) {
      const one = this.#waiting[i]!;
      if (one.boot === bootId) out.add(boot.anchorS + one.uptimeS, one.channel, one.value);
      else rest.push(one);
    }
    this.#waiting = rest;
    this.#dropped = 0;
  }

  wait(reading: Waiting, out: Out): void {
    this.#waiting.push(reading);
    if (this.#waiting.length - this.#dropped <= BACKLOG_LIMIT) return;
    out.aside('no-anchor', this.#waiting[this.#dropped]!.at);
    this.#dropped++;
    if (this.#dropped < BACKLOG_LIMIT) return;
    this.#waiting = this.#waiting.slice(this.#dropped);
    this.#dropped = 0;
  }

  finish(out: Out): void {
    for (const one of this.#waiting.slice(this.#dropped)) out.aside('no-anchor', one.at);
    this.#waiting = [];
    this.#dropped = 0;
  }

  #boot(id: number): Boot {
    let boot = this.#boots.get(id);
    if (boot === undefined) {
      boot = { wraps: 0, lastRawS: 0, anchorS: Number.NaN };
      this.#boots.set(id, boot);
    }
    return boot;
  }
}
