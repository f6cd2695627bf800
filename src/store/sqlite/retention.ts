import type { Database } from './database.ts';
import { findWell, streamsOf } from './names.ts';

const DAY_HOURS = 24;
const DAY_S = 86_400;

export interface OldRaw {
  /** Where the days that are to stay begin [Unix s]; NaN where there are none but those. */
  beforeS: number;
  /** Raw readings before it that are there still. */
  readings: number;
}

/**
 * What is older than the last so many days (UTC) that have readings of a well. By days that have
 * some, not by a clock: one that is wrong must not cost what cannot be had again.
 */
export function oldRawOf(db: Database, wellId: string, keepDays: number): OldRaw {
  const well = findWell(db, wellId);
  const streams = well === undefined ? [] : streamsOf(db, well.id);
  const days = new Set<number>();
  for (const { id } of streams)
    for (const table of ['summary', 'fresh']) {
      const sql = `SELECT DISTINCT hour FROM ${table} WHERE stream = ?`;
      for (const { hour } of db.all<{ hour: number }>(sql, id))
        days.add(Math.floor(hour / DAY_HOURS));
    }
  const first = [...days].sort((a, b) => b - a)[keepDays - 1];
  if (first === undefined || days.size === keepDays) return { beforeS: Number.NaN, readings: 0 };
  const [from, before] = [well?.rawFromHour ?? Number.NEGATIVE_INFINITY, first * DAY_HOURS];
  let readings = 0;
  for (const { id } of streams)
    for (const counted of ['sum(count) AS n FROM summary', 'count(*) AS n FROM fresh']) {
      const sql = `SELECT ${counted} WHERE stream = ? AND hour >= ? AND hour < ?`;
      readings += db.get<{ n: number | null }>(sql, id, from, before)!.n ?? 0;
    }
  return { beforeS: first * DAY_S, readings };
}
