import type { Reminder } from '../../src/model/book.ts';
import type { Outline } from '../../src/model/study.ts';
import type { Well } from '../../src/model/well.ts';
import type { WellNow } from '../../src/model/well-now.ts';
import type { Figures } from '../../src/report/figures.ts';
import type { Listed } from '../data/listed.ts';

/** What every sheet of a well is drawn from. */
export interface Shown {
  well: Well;
  now: WellNow;
  outline: Outline | null;
  figures: Figures;
  isLive: boolean;
  /** The service can be told something. */
  isLinked: boolean;
  listed: Listed;
  /** What comes round every year. */
  reminders: readonly Reminder[];
  /** Rises when records have changed. */
  revision: number;
  /** Rises when readings of the past may have. */
  restated: number;
  /** Rises when alarms have. */
  alarmed: number;
}

/** The moment up to which the record reaches, Unix s. */
export const lastOf = ({ now, listed }: Pick<Shown, 'now' | 'listed'>): number =>
  Date.parse(now.lastReading ?? now.at ?? listed.last ?? '') / 1000;

/** The moment from which it reaches. */
export const firstOf = ({ listed }: Pick<Shown, 'listed'>): number =>
  Date.parse(listed.first ?? '') / 1000 || 0;
