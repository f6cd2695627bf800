import { setImmediate as turn } from 'node:timers/promises';
import { CHANNELS, type Channel } from '../../model/reading.ts';
import type { Bucket } from '../../ports/reading-store.ts';
import { BucketSums, type Summary } from '../bucket-sums.ts';
import type { Database } from './database.ts';
import { hourOf, nextHourOf, sealedOf } from './hour.ts';
import { findWell, streamsOf } from './names.ts';

/** Hours looked at before others have their turn, one by one or summed up by the file itself. */
const HOURS_A_TURN = { single: 200, grouped: 8000 };
const HOUR_S = 3600;

export interface Span {
  fromS: number;
  toS: number;
  count: number;
}

/**
 * Whole hours from their summaries; hours that lie in two stretches reading by reading. Where none
 * does, the file sums up the hours of each stretch: ten years are as many as 87,600.
 */
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
  const each = wholeHoursEach(span);
  const atOnce = each === null ? HOURS_A_TURN.single : HOURS_A_TURN.grouped;
  for (const { id } of streams) {
    let from = nextHourOf(db, id, hourOf(span.fromS));
    while (from !== null && from < endHour) {
      const hours = { from, to: Math.min(from + atOnce, endHour) };
      if (each === null) addHours(db, id, hours, span, sums);
      else addGrouped(db, id, hours, { first: hourOf(span.fromS), each }, sums);
      addFresh(db, id, hours, sums);
      await turn();
      from = nextHourOf(db, id, hours.to);
    }
  }
  return sums.buckets();
}

/** How many whole hours each stretch is, of those that begin with a full one; else null. */
function wholeHoursEach({ fromS, toS, count }: Span): number | null {
  const each = (toS - fromS) / count / HOUR_S;
  return Number.isInteger(each) && Number.isInteger(fromS / HOUR_S) ? each : null;
}

interface Hours {
  from: number;
  to: number;
}
const OF_HOURS = 'WHERE stream = ? AND hour >= ? AND hour < ?';

function addGrouped(
  db: Database,
  stream: number,
  { from, to }: Hours,
  { first, each }: { first: number; each: number },
  sums: BucketSums,
): void {
  // A sum that no number holds makes that of its stretch such a one.
  const grouped = `SELECT min(first_s) AS firstS, max(last_s) AS lastS, sum(count) AS count,
      min(least) AS least, max(greatest) AS greatest,
      CASE WHEN count(sum) = count(*) THEN sum(sum) END AS sum
    FROM summary ${OF_HOURS} GROUP BY CAST((hour - ?) / ? AS INTEGER)`;
  for (const row of db.all<Summary>(grouped, stream, from, to, first, each)) {
    row.sum ??= Number.NaN;
    sums.addWhole(row);
  }
}

function addHours(
  db: Database,
  stream: number,
  hours: Hours,
  { fromS, toS }: Span,
  sums: BucketSums,
): void {
  const sealed = `SELECT hour, first_s AS firstS, last_s AS lastS, count, least, greatest, sum
    FROM summary ${OF_HOURS}`;
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
}

function addFresh(db: Database, stream: number, hours: Hours, sums: BucketSums): void {
  const fresh = `SELECT time_s AS timeS, value FROM fresh ${OF_HOURS} ORDER BY id`;
  type Fresh = { timeS: number; value: number };
  for (const { timeS, value } of db.all<Fresh>(fresh, stream, hours.from, hours.to))
    sums.add(timeS, value);
}
