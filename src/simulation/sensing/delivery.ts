import { DAY_S } from '../constants.ts';
import { createRandom, type Random } from '../random.ts';
import type { Row } from './row.ts';

/** What happens to rows between the device and whoever reads them. Rates of 0 leave them alone. */
export interface Troubles {
  /** Share of minutes whose rows are lost. */
  lostMinutes: number;
  /** Share of rows that arrive twice, and that arrive late by a few rows. */
  duplicated: number;
  disordered: number;
  /** Outages of the network a day, their mean length, and rows the device keeps meanwhile. */
  outagesPerDay: number;
  outageMeanS: number;
  backlogRows: number;
  /** Kept rows go out before fresh ones, else bit by bit between them. */
  backlogFirst: boolean;
  /** Resets of the device a week; it is silent for ten seconds and its clock is unset a while. */
  resetsPerWeek: number;
  clockUnsetS: number;
  /** Error of the clock's rate, put right once a day. */
  clockDriftPpm: number;
}

export const NO_TROUBLES: Troubles = {
  lostMinutes: 0,
  duplicated: 0,
  disordered: 0,
  outagesPerDay: 0,
  outageMeanS: 0,
  backlogRows: 0,
  backlogFirst: true,
  resetsPerWeek: 0,
  clockUnsetS: 0,
  clockDriftPpm: 0,
};

/** A house network as people have it (common practice). */
export const USUAL_TROUBLES: Troubles = {
  lostMinutes: 0.003,
  duplicated: 0.001,
  disordered: 0.0005,
  outagesPerDay: 0.05,
  outageMeanS: 360,
  backlogRows: 20_000,
  backlogFirst: true,
  resetsPerWeek: 0.5,
  clockUnsetS: 0,
  clockDriftPpm: 30,
};

const RESET_SILENCE_S = 10;
/** Kept rows that go out between fresh ones, so many at a time. */
const DRAINED_AT_ONCE = 20;

/** The device's clock, its restarts, and the way its rows take. */
export class Delivery {
  readonly #troubles: Troubles;
  readonly #random: Random;
  readonly #kept: Row[] = [];
  readonly #late: { row: Row; after: number }[] = [];
  #boot = 1;
  #seq = 0;
  #bootedS: number;
  #silentUntilS = Number.NEGATIVE_INFINITY;
  #outUntilS = Number.NEGATIVE_INFINITY;
  #minute = -1;
  #minuteLost = false;
  #lastS: number;

  constructor(troubles: Troubles, startS: number, seed: number) {
    this.#troubles = troubles;
    this.#random = createRandom(seed, 'delivery');
    this.#bootedS = startS;
    this.#lastS = startS;
  }

  /** Takes a row made at true time `atS`; gives the rows that arrive now, in order of arrival. */
  push(row: Row, atS: number): Row[] {
    const apartS = atS - this.#lastS;
    this.#lastS = atS;
    const { outagesPerDay, resetsPerWeek, outageMeanS } = this.#troubles;
    if (this.#random.uniform() < (resetsPerWeek * apartS) / (7 * DAY_S)) this.#reset(atS);
    if (this.#random.uniform() < (outagesPerDay * apartS) / DAY_S) {
      this.#outUntilS = atS + this.#random.exponential(outageMeanS);
    }
    if (atS < this.#silentUntilS) return [];
    this.#stamp(row, atS);
    if (atS < this.#outUntilS) {
      if (this.#kept.length < this.#troubles.backlogRows) this.#kept.push(row);
      return [];
    }
    const arrived = this.#lost(atS) ? [] : this.#twist(row);
    if (this.#kept.length === 0) return arrived;
    if (this.#troubles.backlogFirst) return [...this.#kept.splice(0), ...arrived];
    return [...arrived, ...this.#kept.splice(0, DRAINED_AT_ONCE)];
  }

  /** What was still kept or late at the end. */
  flush(): Row[] {
    return [...this.#kept.splice(0), ...this.#late.splice(0).map((l) => l.row)];
  }

  #reset(atS: number): void {
    this.#boot++;
    this.#seq = 0;
    this.#bootedS = atS;
    this.#silentUntilS = atS + RESET_SILENCE_S;
  }

  #stamp(row: Row, atS: number): void {
    row.boot = this.#boot;
    row.seq = this.#seq++;
    row.uptimeS = atS - this.#bootedS;
    const sinceSyncS = atS % DAY_S;
    row.timeS += this.#troubles.clockDriftPpm * 1e-6 * sinceSyncS;
    if (this.#boot > 1 && row.uptimeS < this.#troubles.clockUnsetS) row.timeS = row.uptimeS;
  }

  /** Wireless losses come in whole minutes. */
  #lost(atS: number): boolean {
    const minute = Math.floor(atS / 60);
    if (minute !== this.#minute) {
      this.#minute = minute;
      this.#minuteLost = this.#random.chance(this.#troubles.lostMinutes);
    }
    return this.#minuteLost;
  }

  #twist(row: Row): Row[] {
    const out: Row[] = [];
    if (this.#random.chance(this.#troubles.disordered)) {
      this.#late.push({ row, after: 1 + Math.floor(5 * this.#random.uniform()) });
    } else {
      out.push(row);
      if (this.#random.chance(this.#troubles.duplicated)) out.push({ ...row });
    }
    for (let i = this.#late.length - 1; i >= 0; i--) {
      const late = this.#late[i]!;
      if (late.row === row || late.after-- > 0) continue;
      out.push(late.row);
      this.#late.splice(i, 1);
    }
    return out;
  }
}
