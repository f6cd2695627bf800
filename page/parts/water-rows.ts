import { localDate, startOfNextLocalDayS, utcOffsetS } from '../../src/base/zone.ts';
import { type DrawEntry, isWhole } from '../../src/model/study.ts';
import { cost, energy, gathered, lost, total, used } from '../../src/report/day-quantities.ts';
import { type Estimate, type Figures, volumeOf } from '../../src/report/figures.ts';
import type { Day, Period } from '../data/days.ts';
import { SAY } from '../words.ts';
import { usualOf } from './usual.ts';

export interface WaterRow {
  /** As `2026-04-06`, `2026-04`, `2026`, or `06:00`. */
  name: string;
  used: Estimate;
  lost: Estimate;
  energy: Estimate;
  cost: Estimate;
  mark: '' | 'part' | 'open' | 'hole';
  /** Of a hole: how many days have no record. */
  days?: number;
}

const NONE: Estimate = { value: null, std: null };

const amountsOf = (day: Day, figures: Figures) => ({
  used: used(day, figures),
  lost: lost(day, figures),
  energy: energy(day),
  cost: cost(day),
});

export const rowsOfDays = (days: readonly Day[], figures: Figures): WaterRow[] =>
  days.map((day) => ({
    ...amountsOf(day, figures),
    name: day.date,
    mark: day.open ? 'open' : isWhole(day) ? '' : 'part',
  }));

const DAY_MS = 86_400_000;

/**
 * Rows of days or months, with one in place of each stretch of them that was not recorded. It is
 * named by the first that is missing.
 */
export function withHoles(rows: readonly WaterRow[]): WaterRow[] {
  return rows.flatMap((row, i) => {
    const before = rows[i - 1];
    if (before === undefined) return [row];
    const letters = row.name.length;
    const fromMs = Date.parse(before.name) + (letters === 7 ? daysIn(before.name) : 1) * DAY_MS;
    const days = Math.round((Date.parse(row.name) - fromMs) / DAY_MS);
    if (days < 1) return [row];
    const name = new Date(fromMs).toISOString().slice(0, letters);
    const none = { used: NONE, lost: NONE, energy: NONE, cost: NONE };
    return [{ name, ...none, mark: 'hole' as const, days }, row];
  });
}

/** Months or years, named by the first so many letters of their date: 7 or 4. */
export const rowsOfPeriods = (
  periods: readonly Period[],
  letters: 4 | 7,
  figures: Figures,
): WaterRow[] =>
  periods.map((period) => {
    const isAll = period.wholeDays === period.ofDays;
    return {
      ...amountsOf(period, figures),
      name: period.date.slice(0, letters),
      mark: period.open ? 'open' : isAll ? '' : 'part',
    };
  });

/** Days that a month of the calendar has. */
function daysIn(month: string): number {
  const [year = 0, number = 1] = month.split('-').map(Number);
  return (Date.UTC(year, number, 1) - Date.UTC(year, number - 1, 1)) / DAY_MS;
}

/** When a date of the zone begins and ends, Unix s. */
export function spanOfDate(date: string, zone: string): [fromS: number, toS: number] {
  const noonS = Date.parse(`${date}T12:00:00Z`) / 1000;
  // The noon of UTC may lie on a neighbouring date of the zone.
  const nearS = [noonS - 86_400, noonS, noonS + 86_400].find(
    (atS) => localDate(zone, atS) === date,
  );
  const toS = startOfNextLocalDayS(zone, nearS ?? noonS);
  const early = [26, 25, 24, 23, 22].map((hours) => toS - hours * 3600);
  const fromS = early.find((atS) => localDate(zone, atS) === date) ?? toS - 86_400;
  return [fromS, toS];
}

/**
 * The hours of a day: each draw shared out over the hours it lasted, what is lost by its steady
 * rate. An hour is named by the wall time at which it begins.
 */
export function rowsOfHours(
  draws: readonly DrawEntry[],
  day: Day,
  figures: Figures,
  /** Hours that begin later have not been. */
  untilS: number,
): WaterRow[] {
  const { zone } = figures;
  const [fromS, toS] = spanOfDate(day.date, zone);
  const hours = Math.max(0, Math.ceil((Math.min(toS, untilS) - fromS) / 3600));
  const dayLost = lost(day, figures);
  const share = (of: number | null, lengthS: number) =>
    of === null ? null : (of * lengthS) / day.coveredS;
  const named = new Set<string>();
  return Array.from({ length: hours }, (_, i) => {
    const beginS = fromS + i * 3600;
    const parts = draws.flatMap((draw) => {
      const [a, b] = [Date.parse(draw.start) / 1000, Date.parse(draw.stop) / 1000];
      const overlapS = Math.min(b, beginS + 3600) - Math.max(a, beginS);
      const { value, std } = volumeOf(draw, 'volume', figures);
      if (value === null || !(overlapS > 0 || (a === b && a >= beginS && a < beginS + 3600)))
        return [];
      const part = b > a ? overlapS / (b - a) : 1;
      return [{ value: value * part, std: (std ?? 0) * part }];
    });
    const sum = gathered(parts, total);
    const lengthS = Math.min(3600, untilS - beginS);
    const clock = new Date((beginS + utcOffsetS(zone, beginS)) * 1000).toISOString().slice(11, 16);
    // The hour that the clock is set back is there twice.
    const name = named.has(clock) ? SAY.use.again(clock) : clock;
    named.add(name);
    return {
      name,
      used: sum.value === null ? { value: 0, std: 0 } : sum,
      lost: { value: share(dayLost.value, lengthS), std: share(dayLost.std, lengthS) },
      energy: NONE,
      cost: NONE,
      mark: beginS + 3600 > untilS ? 'open' : '',
    };
  });
}

/** Days that stand out from the whole days before them, by more than chance and much. */
export function unusualDays(days: readonly Day[], figures: Figures) {
  const whole = days.filter((day) => !day.open && isWhole(day));
  const values = whole.map((day) => used(day, figures).value);
  return whole.flatMap((day, i) => {
    const value = values[i];
    const before = values.slice(Math.max(0, i - BEFORE), i).filter((one) => one !== null);
    const usual = usualOf(before);
    if (value == null || usual === null) return [];
    const off = Math.abs(value - usual.middle);
    if (off < WIDTHS * usual.width || off < LEAST_SHARE * usual.middle) return [];
    return [{ day, value, usual: usual.middle }];
  });
}

/** Whole days that a custom is taken from. */
const BEFORE = 28;
/** A day this many robust widths off stands out, if it is also off by this share. */
const WIDTHS = 3.5;
const LEAST_SHARE = 0.5;
