import { setImmediate as turn } from 'node:timers/promises';
import { CHANNELS, type Channel } from '../../model/reading.ts';
import type { Bucket } from '../../ports/reading-store.ts';
import { BucketSums, type Summary } from '../bucket-sums.ts';
import type { Database } from './database.ts';
import { hourOf, nextHourOf, sealedOf } from './hour.ts';
import { findWell, streamsOf } from './names.ts';

/** Hours looked at before others have their turn. */
const HOURS_A_TURN = 200;

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
  const endHour = hourOf(span.toS) + 1;
  for (const { id } of streams) {
    let from = nextHourOf(db, id, hourOf(span.fromS));
    while (from !== null && from < endHour) {
      const to = Math.min(from + HOURS_A_TURN, endHour);
      addHours(db, id, { from, to }, span, sums);
      await turn();
      from = nextHourOf(db, id, to);
    }
  }
  return sums.buckets();
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
