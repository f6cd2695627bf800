import type { Database } from './database.ts';
import { HOUR_S, hourOf, readHour } from './hour.ts';
import { findWell, streamsOf } from './names.ts';

/**
 * How many readings of a well with an earlier time were ever kept: all accepted less those from
 * the instant on. Where raw readings of its hour were dropped only the snapshots of that time
 * know; then NaN at any other instant.
 */
export function countKeptBefore(db: Database, wellId: string, beforeS: number): number {
  const well = findWell(db, wellId);
  if (well === undefined) return 0;
  const hour = hourOf(beforeS);
  const isWhole = beforeS === hour * HOUR_S;
  if (!isWhole && hour < (well.rawFromHour ?? Number.NEGATIVE_INFINITY)) {
    const sql = `SELECT kept_before AS kept FROM snapshot
      WHERE well = ? AND before_s = ? AND kept_before IS NOT NULL`;
    return db.get<{ kept: number }>(sql, well.id, beforeS)?.kept ?? Number.NaN;
  }
  const all = db.get<{ accepted: number }>('SELECT accepted FROM well WHERE id = ?', well.id);
  const from = isWhole ? hour : hour + 1;
  let later = 0;
  for (const { id } of streamsOf(db, well.id)) later += countFrom(db, id, from);
  if (!isWhole) {
    const { timeS } = readHour(db, { well: well.id, hour, fromS: beforeS });
    later += timeS.filter((t) => t >= beforeS).length;
  }
  return all!.accepted - later;
}

/** Of the snapshots whose raw readings are about to be dropped, writes down what they had. */
export function noteKeptBefore(
  db: Database,
  well: { id: number; name: string },
  beforeHour: number,
): void {
  const sql = `SELECT before_s AS beforeS FROM snapshot
    WHERE well = ? AND before_s < ? AND kept_before IS NULL`;
  const due = db.all<{ beforeS: number }>(sql, well.id, beforeHour * HOUR_S);
  for (const { beforeS } of due) {
    const kept = countKeptBefore(db, well.name, beforeS);
    const note = 'UPDATE snapshot SET kept_before = ? WHERE well = ? AND before_s = ?';
    if (!Number.isNaN(kept)) db.run(note, kept, well.id, beforeS);
  }
}

function countFrom(db: Database, stream: number, hour: number): number {
  const sealed = 'SELECT coalesce(sum(count), 0) AS n FROM summary WHERE stream = ? AND hour >= ?';
  const fresh = 'SELECT count(*) AS n FROM fresh WHERE stream = ? AND hour >= ?';
  const of = (sql: string) => db.get<{ n: number }>(sql, stream, hour)!.n;
  return of(sealed) + of(fresh);
}
