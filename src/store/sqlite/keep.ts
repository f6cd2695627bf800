import { CHANNELS } from '../../model/reading.ts';
import type { Kept, Pack, Refused } from '../../ports/reading-store.ts';
import type { Database } from './database.ts';
import { hourOf, sealedOf } from './hour.ts';
import { deviceNamed, streamOf, wellNamed } from './names.ts';
import { isNewPack } from './seen.ts';

/** Of the refused, all wells together; their counts go on. */
const MOST_REFUSED = 100_000;
const MOST_CACHED = 16;

/** What one pack did. */
export interface Taken {
  kept: Kept;
  well: number;
  /** Hours that have fresh readings of the pack. */
  hours: Set<number>;
}

/** Times of sealed hours that were asked for lately, to tell readings sent again. */
export class SealedTimes {
  readonly #known = new Map<string, { count: number; times: Set<number> }>();

  has(db: Database, stream: number, hour: number, timeS: number): boolean {
    const sql = 'SELECT count FROM summary WHERE stream = ? AND hour = ?';
    const count = db.get<{ count: number }>(sql, stream, hour)?.count;
    if (count === undefined) return false;
    const key = `${stream} ${hour}`;
    let known = this.#known.get(key);
    if (known?.count !== count) {
      known = { count, times: timesOf(db, stream, hour) };
      this.#known.delete(key);
      this.#known.set(key, known);
      if (this.#known.size > MOST_CACHED) this.#known.delete(this.#known.keys().next().value!);
    }
    return known.times.has(timeS);
  }
}

/** Of an hour that cannot be decoded none is known: rather kept twice than never. */
function timesOf(db: Database, stream: number, hour: number): Set<number> {
  try {
    return new Set(sealedOf(db, stream, hour)?.timeS);
  } catch (error) {
    if ((error as { errcode?: number }).errcode !== undefined) throw error;
    return new Set();
  }
}

/** Writes a pack into the transaction under way. */
export function keepPack(db: Database, times: SealedTimes, pack: Pack): Taken {
  const { boot, seq, arrivedS, readings } = pack;
  const well = wellNamed(db, pack.wellId);
  const device = deviceNamed(db, well.id, pack.device);
  const kept: Kept = { accepted: 0, duplicate: 0, earliestS: Number.NaN };
  const hours = new Set<number>();
  const numbered = boot !== null && seq !== null;
  if (numbered && !isNewPack(db, device, { boot, seq, arrivedS })) {
    kept.duplicate = readings.count;
    count(db, well.id, kept);
    return { kept, well: well.id, hours };
  }
  const byTime = !numbered || device.forgot === 1;
  const late: Refused[] = [];
  const streams = new Map<number, number>();
  for (let i = 0; i < readings.count; i++) {
    const [timeS, channel] = [readings.timeS[i]!, readings.channel[i]!];
    const hour = hourOf(timeS);
    if (hour < (well.rawFromHour ?? Number.NEGATIVE_INFINITY)) {
      late.push({ index: i, code: 'late' });
      continue;
    }
    const stream = streams.get(channel) ?? streamOf(db, device.id, CHANNELS[channel]!);
    streams.set(channel, stream);
    if (byTime && isThere(db, times, { stream, hour, timeS })) {
      kept.duplicate++;
      continue;
    }
    const sql = 'INSERT INTO fresh (stream, hour, time_s, value) VALUES (?, ?, ?, ?)';
    db.run(sql, stream, hour, timeS, readings.value[i]!);
    hours.add(hour);
    kept.accepted++;
    if (!(kept.earliestS <= timeS)) kept.earliestS = timeS;
  }
  refuse(db, well.id, pack, [...pack.refused, ...late]);
  count(db, well.id, kept);
  return { kept, well: well.id, hours };
}

function isThere(
  db: Database,
  times: SealedTimes,
  at: { stream: number; hour: number; timeS: number },
): boolean {
  const { stream, hour, timeS } = at;
  const sql = 'SELECT 1 FROM fresh WHERE stream = ? AND hour = ? AND time_s = ?';
  return db.get(sql, stream, hour, timeS) !== undefined || times.has(db, stream, hour, timeS);
}

function count(db: Database, well: number, { accepted, duplicate }: Kept): void {
  if (accepted + duplicate === 0) return;
  const sql = `UPDATE well SET accepted = accepted + ?, duplicate = duplicate + ? WHERE id = ?`;
  db.run(sql, accepted, duplicate, well);
}

function refuse(db: Database, well: number, pack: Pack, refused: readonly Refused[]): void {
  const { device, boot, seq, arrivedS } = pack;
  for (const { index, code } of refused) {
    const into = 'INSERT INTO refused (well, device, boot, seq, arrived_s, place, code)';
    const { lastId } = db.run(
      `${into} VALUES (?, ?, ?, ?, ?, ?, ?)`,
      ...[well, device, boot, seq, arrivedS, index, code],
    );
    db.run('DELETE FROM refused WHERE id <= ?', lastId - MOST_REFUSED);
    const sql = `INSERT INTO refusals (well, code, count) VALUES (?, ?, 1)
      ON CONFLICT DO UPDATE SET count = count + 1`;
    db.run(sql, well, code);
  }
}
