import { setImmediate as turn } from 'node:timers/promises';
import { CHANNELS, type Channel } from '../../model/reading.ts';
import type { Bucket } from '../../ports/reading-store.ts';
import { BucketSums, type Summary } from '../bucket-sums.ts';
import type { Database } from './database.ts';
import { hourOf, sealedOf } from './hour.ts';
import { findWell, streamsOf } from './names.ts';

/** Hours looked at before others have their turn. */
const HOURS_A_TURN = 2000;

export interface Span {
  fromS: number;
  toS: number;
  count: number;
}

/** Whole hours from their summaries; hours that lie in two stretches reading by reading. */
export async function readBuckets(
  db: Database,
  wellId: string,
  channel: Channel,
  span: Span,
): Promise<Bucket[]> {
  const sums = new BucketSums(span);
  const well = findWell(db, wellId);
  if (well === undefined) return sums.buckets();
  const streams = streamsOf(db, well.id).filter((one) => CHANNELS[one.channel] === channel);
  for (const { id } of streams) {
    let hour = hourOf(span.fromS);
    for (;;) {
      const next = nextHour(db, id, hour);
      if (next === null || next > hourOf(span.toS)) break;
      hour = next + HOURS_A_TURN;
      addHours(db, id, { from: next, to: hour }, span, sums);
      await turn();
    }
  }
  return sums.buckets();
}

/** The first hour from `hour` on that has readings of the stream. */
function nextHour(db: Database, stream: number, hour: number): number | null {
  const first = 'WHERE stream = ? AND hour >= ?';
  const sql = `SELECT min(hour) AS hour FROM (SELECT min(hour) AS hour FROM summary ${first}
    UNION ALL SELECT min(hour) FROM fresh ${first})`;
  return db.get<{ hour: number | null }>(sql, stream, hour, stream, hour)!.hour;
}

function addHours(
  db: Database,
  stream: number,
  hours: { from: number; to: number },
  { fromS, toS }: Span,
  sums: BucketSums,
): void {
  const where = 'WHERE stream = ? AND hour >= ? AND hour < ?';
  const sealed = `SELECT hour, first_s AS firstS, last_s AS lastS, count, least, greatest, sum
    FROM summary ${where}`;
  for (const row of db.all<Summary & { hour: number }>(sealed, stream, hours.from, hours.to)) {
    row.sum ??= Number.NaN;
    if (sums.addWhole(row) || row.lastS < fromS || row.firstS >= toS) continue;
    const raw = sealedOf(db, stream, row.hour);
    if (raw !== null) sums.addAll(raw.timeS, raw.value);
    else {
      // The readings were dropped: the hour counts where its middle lies.
      const middleS = (row.firstS + row.lastS) / 2;
      sums.addWhole({ ...row, firstS: middleS, lastS: middleS });
    }
  }
  const fresh = `SELECT time_s AS timeS, value FROM fresh ${where} ORDER BY id`;
  type Fresh = { timeS: number; value: number };
  for (const { timeS, value } of db.all<Fresh>(fresh, stream, hours.from, hours.to))
    sums.add(timeS, value);
}
