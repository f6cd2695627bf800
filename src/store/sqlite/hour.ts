import { assert } from '../../base/assert.ts';
import { decodeChunk, encodeChunk } from './chunk.ts';
import type { Chunk } from './chunk-parts.ts';
import type { Database } from './database.ts';
import { streamsOf } from './names.ts';

export const HOUR_S = 3600;

export function hourOf(timeS: number): number {
  return Math.floor(timeS / HOUR_S);
}

/** Readings of a well in an hour, by time and at one instant in the order received. */
export interface HourOfWell {
  stream: Float64Array;
  timeS: Float64Array;
  value: Float64Array;
}

/** As the schema says. */
export const STREAMS = 1_048_576;

function chunkId(stream: number, hour: number): number {
  assert(stream < STREAMS, 'fewer streams than a chunk can name');
  return hour * STREAMS + stream;
}

interface Sealed {
  timesOf: number | null;
  readings: Uint8Array;
}

interface Fresh {
  time_s: number;
  value: number;
}

const ONE_SEALED = 'SELECT times_of AS timesOf, readings FROM chunk WHERE id = ?';

/** The first hour from `hour` on that has readings of the stream, sealed or fresh. */
export function nextHourOf(db: Database, stream: number, hour: number): number | null {
  const first = 'WHERE stream = ? AND hour >= ?';
  const sql = `SELECT min(hour) AS hour FROM (SELECT min(hour) AS hour FROM summary ${first}
    UNION ALL SELECT min(hour) FROM fresh ${first})`;
  return db.get<{ hour: number | null }>(sql, stream, hour, stream, hour)!.hour;
}

/** Times of streams that were decoded already. */
type Times = Map<number, Float64Array>;

/** What is sealed of one stream in an hour; null where nothing is. Throws on damaged bytes. */
export function sealedOf(db: Database, stream: number, hour: number): Chunk | null {
  return decoded(db, stream, hour, new Map());
}

function decoded(db: Database, stream: number, hour: number, known: Times): Chunk | null {
  const row = db.get<unknown>(ONE_SEALED, chunkId(stream, hour)) as Sealed | undefined;
  if (row === undefined) return null;
  const { timesOf } = row;
  const other = timesOf === null ? null : known.get(timesOf);
  const shared = other === undefined ? decoded(db, timesOf!, hour, known)?.timeS : other;
  const chunk = decodeChunk(row.readings, shared ?? null);
  known.set(stream, chunk.timeS);
  return chunk;
}

/** All readings of a well in an hour, but for fresh ones of before `fromS`: they may be many. */
export function readHour(
  db: Database,
  { well, hour, fromS = Number.NEGATIVE_INFINITY }: { well: number; hour: number; fromS?: number },
): HourOfWell {
  const streams = streamsOf(db, well);
  const times: Times = new Map();
  const parts = streams.flatMap(({ id }) => {
    const sealed = decoded(db, id, hour, times);
    return sealed === null ? [] : [{ id, ...sealed, next: 0 }];
  });
  const sealed = merged(parts);
  const fresh = freshOf(db, streams, hour, fromS);
  if (fresh.length === 0) return sealed;
  const stream = [...sealed.stream, ...fresh.map((one) => one.stream)];
  const timeS = [...sealed.timeS, ...fresh.map((one) => one.time_s)];
  const value = [...sealed.value, ...fresh.map((one) => one.value)];
  // At one instant what is sealed was received first, and a sort keeps that.
  const order = [...timeS.keys()].sort((a, b) => timeS[a]! - timeS[b]!);
  return {
    stream: Float64Array.from(order, (i) => stream[i]!),
    timeS: Float64Array.from(order, (i) => timeS[i]!),
    value: Float64Array.from(order, (i) => value[i]!),
  };
}

/** The chunks of an hour as one, by time and place, at one place the first stream first. */
function merged(parts: (Chunk & { id: number; next: number })[]): HourOfWell {
  const count = parts.reduce((sum, { value }) => sum + value.length, 0);
  const hour = {
    stream: new Float64Array(count),
    timeS: new Float64Array(count),
    value: new Float64Array(count),
  };
  for (let i = 0; i < count; i++) {
    let first: (typeof parts)[number] | null = null;
    for (const part of parts) {
      if (part.next === part.value.length) continue;
      if (first === null || comesBefore(part, first)) first = part;
    }
    hour.stream[i] = first!.id;
    hour.timeS[i] = first!.timeS[first!.next]!;
    hour.value[i] = first!.value[first!.next++]!;
  }
  return hour;
}

function comesBefore(a: Chunk & { next: number }, b: Chunk & { next: number }): boolean {
  const [aS, bS] = [a.timeS[a.next]!, b.timeS[b.next]!];
  if (aS !== bS || a.place === null || b.place === null) return aS < bS;
  return a.place[a.next]! < b.place[b.next]!;
}

/** In the order received. */
function freshOf(db: Database, streams: readonly { id: number }[], hour: number, fromS: number) {
  const sql = `SELECT id, time_s, value FROM fresh
    WHERE stream = ? AND hour = ? AND time_s >= ?`;
  return streams
    .flatMap(({ id }) =>
      db.all<Fresh & { id: number }>(sql, id, hour, fromS).map((row) => ({ ...row, stream: id })),
    )
    .sort((a, b) => a.id - b.id);
}

/** Seals what is fresh in an hour into a chunk a stream, with what was sealed of it before. */
export function sealHour(db: Database, well: number, hour: number): void {
  const whole = readHour(db, { well, hour });
  const plain = placesArePlain(whole);
  const withTimes: { stream: number; timeS: Float64Array }[] = [];
  for (const { stream, at, timeS, value } of takeOut(db, well, hour, whole)) {
    const other = withTimes.find((one) => sameDoubles(one.timeS, timeS));
    if (other === undefined) withTimes.push({ stream, timeS });
    const blob = encodeChunk({ timeS, value, place: plain ? null : at }, other !== undefined);
    const chunk = 'INSERT OR REPLACE INTO chunk (id, times_of, readings) VALUES (?, ?, ?)';
    db.run(chunk, chunkId(stream, hour), other?.stream ?? null, blob);
    putSummary(db, stream, hour, { timeS, value });
  }
}

/** Leaves of an hour what its readings came to, and drops them. */
export function dropHour(db: Database, well: number, hour: number): void {
  for (const { stream, timeS, value } of takeOut(db, well, hour, readHour(db, { well, hour })))
    putSummary(db, stream, hour, { timeS, value });
}

/** The readings of an hour stream by stream, which are then fresh no more: that makes room. */
function takeOut(db: Database, well: number, hour: number, whole: HourOfWell) {
  return streamsOf(db, well).flatMap(({ id }) => {
    db.run('DELETE FROM fresh WHERE stream = ? AND hour = ?', id, hour);
    const at = Float64Array.from([...whole.stream.keys()].filter((i) => whole.stream[i] === id));
    if (at.length === 0) return [];
    const timeS = at.map((i) => whole.timeS[i]!);
    return [{ stream: id, at, timeS, value: at.map((i) => whole.value[i]!) }];
  });
}

/** Whether at each instant the streams follow one another in their own order. */
function placesArePlain({ stream, timeS }: HourOfWell): boolean {
  return timeS.every((t, i) => i === 0 || t !== timeS[i - 1] || stream[i - 1]! <= stream[i]!);
}

function sameDoubles(a: Float64Array, b: Float64Array): boolean {
  return a.length === b.length && a.every((one, i) => Object.is(one, b[i]));
}

export function summaryOf({ timeS, value }: { timeS: Float64Array; value: Float64Array }) {
  let [least, greatest, sum] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0];
  for (const one of value) {
    if (one < least) least = one;
    if (one > greatest) greatest = one;
    sum += one;
  }
  const count = value.length;
  return { firstS: timeS[0]!, lastS: timeS[count - 1]!, count, least, greatest, sum };
}

function putSummary(
  db: Database,
  stream: number,
  hour: number,
  readings: { timeS: Float64Array; value: Float64Array },
): void {
  const { firstS, lastS, count, least, greatest, sum } = summaryOf(readings);
  const into = 'stream, hour, count, first_s, last_s, least, greatest, sum';
  const sql = `INSERT OR REPLACE INTO summary (${into}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`;
  db.run(sql, stream, hour, count, firstS, lastS, least, greatest, sum);
}
