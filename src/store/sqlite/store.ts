import { setImmediate as turn } from 'node:timers/promises';
import { instant } from '../../base/instant.ts';
import { decodeState, encodeState } from '../../base/snapshot.ts';
import type { Channel, ReadingBatch } from '../../model/reading.ts';
import {
  type Bucket,
  type Counters,
  type Kept,
  type KeptOfWell,
  type Pack,
  type ReadingStore,
  type RecordKind,
  type RefusedRecord,
  type Snapshot,
  StoreDamaged,
  type StoredRecord,
} from '../../ports/reading-store.ts';
import type { BootTime, WaitingPack, WaitingPacks } from '../../ports/waiting-packs.ts';
import { checkPack } from '../check-pack.ts';
import { backupTo } from './backup.ts';
import { readBuckets } from './buckets.ts';
import { type Checked, checkDatabase } from './check.ts';
import { Database, type OpenOptions } from './database.ts';
import { expectSpace } from './disk.ts';
import {
  dropHour,
  HOUR_S,
  type HourOfWell,
  hourOf,
  nextHourOf,
  readHour,
  sealHour,
} from './hour.ts';
import { keepPack, SealedTimes, type Taken } from './keep.ts';
import { countKeptBefore, noteKeptBefore } from './kept-before.ts';
import { findWell, nameOfWell, streamsOf, wellNamed } from './names.ts';
import { type OldRaw, oldRawOf } from './retention.ts';
import { packState, readSnapshot } from './snapshots.ts';
import { putWaiting, readBoots, readWaiting, settleBoot } from './waiting.ts';

/** Hours of a well that stay fresh: the one at hand and the one before. */
const STAY_FRESH = 2;
/** Sealed after one commit at most; what is left is sealed after the next. */
const SEALED_AT_ONCE = 48;

/** What is not as it was written, or why sealing did not go on. */
export type Damage = 'snapshot' | 'hour' | 'sealing';

interface StoreOptions extends OpenOptions {
  /** A snapshot or an hour is not as it was written, once for each; readings are kept still. */
  onDamage?: (what: Damage, wellId: string, says: string) => void;
}

const NO_READINGS: HourOfWell = {
  stream: new Float64Array(0),
  timeS: new Float64Array(0),
  value: new Float64Array(0),
};

/** Keeps all in one SQLite file, docs/formats/store.md. */
export class SqliteStore implements ReadingStore, WaitingPacks {
  readonly #db: Database;
  readonly #times = new SealedTimes();
  /** Hours of each well that have fresh readings, in the order they were opened. */
  readonly #open = new Map<number, Set<number>>();
  readonly #toldDamaged = new Set<string>();
  readonly #onDamage: (what: Damage, wellId: string, says: string) => void;

  /** Makes the file where there is none, and brings an older one to the newest version. */
  constructor(path: string, options: StoreOptions = {}) {
    this.#db = new Database(path, options);
    this.#onDamage = options.onDamage ?? (() => undefined);
    // Who only reads seals nothing, and what is damaged can be looked at.
    if (options.readOnly) return;
    for (const { id } of this.#db.all<{ id: number }>('SELECT id FROM well'))
      this.#open.set(id, new Set(this.#freshHours(id)));
  }

  async keep(packs: readonly Pack[]): Promise<Kept[]> {
    for (const pack of packs) checkPack(pack);
    const db = this.#db;
    const taken = db.write(() => packs.map((pack) => keepPack(db, this.#times, pack)));
    this.#noteOpened(taken);
    return taken.map(({ kept }) => kept);
  }

  /** Writes what the file's head has already, and no reading. Throws StoreRefuses. */
  tryWrite(): void {
    expectSpace(this.#db.path);
    this.#db.write(() => {
      const version = this.#db.get<{ user_version: number }>('PRAGMA user_version')!;
      this.#db.raw.exec(`PRAGMA user_version = ${version.user_version}`);
    });
  }

  /**
   * Seals the hours that are due, or all. `keep` does so as it goes. Throws StoreRefuses, and what
   * is not sealed stays as it was.
   */
  async seal(which: 'due' | 'all' = 'due'): Promise<void> {
    const stay = which === 'all' ? 0 : STAY_FRESH;
    for (const [well, open] of this.#open)
      while (open.size > stay) {
        this.#sealWell(well, stay);
        await turn();
      }
  }

  readings(wellId: string, fromS: number, toS: number): AsyncIterable<ReadingBatch> {
    return this.readable({ wellId, fromS, toS }, (_hourS, error) => {
      throw error;
    });
  }

  /** The same past each hour that cannot be read, which is told. */
  async *readable(
    { wellId, fromS, toS }: { wellId: string; fromS: number; toS: number },
    damaged: (hourS: number, error: StoreDamaged) => void,
  ): AsyncIterable<ReadingBatch> {
    const well = findWell(this.#db, wellId);
    if (well === undefined) return;
    const channels = () =>
      new Map(streamsOf(this.#db, well.id).map(({ id, channel }) => [id, channel]));
    const first = Math.max(hourOf(fromS), well.rawFromHour ?? Number.NEGATIVE_INFINITY);
    let hour = this.#nextHour(well.id, first);
    while (hour !== null && hour <= hourOf(toS)) {
      const whole = this.#readHour({ well: well.id, wellId, hour, fromS }, damaged);
      const channelOf = channels();
      const from = whole.timeS.findIndex((t) => t >= fromS);
      const to = whole.timeS.findLastIndex((t) => t < toS) + 1;
      if (from >= 0 && to > from)
        yield {
          count: to - from,
          timeS: whole.timeS.slice(from, to),
          channel: Uint8Array.from(whole.stream.subarray(from, to), (id) => channelOf.get(id)!),
          value: whole.value.slice(from, to),
        };
      await turn();
      hour = this.#nextHour(well.id, hour + 1);
    }
  }

  #readHour(
    { wellId, ...of }: { well: number; wellId: string; hour: number; fromS: number },
    damaged: (hourS: number, error: StoreDamaged) => void,
  ): HourOfWell {
    try {
      return readHour(this.#db, of);
    } catch (error) {
      const hourS = of.hour * HOUR_S;
      const where = `well ${wellId}, hour ${instant(hourS)}`;
      damaged(hourS, new StoreDamaged(`${where}: ${(error as Error).message}`));
      return NO_READINGS;
    }
  }

  async buckets(
    wellId: string,
    channel: Channel,
    span: { fromS: number; toS: number; count: number },
  ): Promise<Bucket[]> {
    return readBuckets(this.#db, wellId, channel, span);
  }

  async wells(): Promise<KeptOfWell[]> {
    const sealed = (end: string, order: string) =>
      `(SELECT ${end} FROM summary WHERE stream = stream.id ORDER BY hour ${order} LIMIT 1)`;
    const fresh = (end: string) => `(SELECT ${end}(time_s) FROM fresh WHERE stream = stream.id)`;
    const spans = `SELECT device, ${sealed('first_s', 'ASC')} AS first_s,
        ${sealed('last_s', 'DESC')} AS last_s FROM stream
      UNION ALL SELECT device, ${fresh('min')}, ${fresh('max')} FROM stream`;
    return this.#db.all(`SELECT well.name AS wellId, min(first_s) AS firstS,
        max(last_s) AS lastS, accepted AS readings, raw_from_hour * ${HOUR_S} AS rawFromS
      FROM (${spans}) JOIN device ON device.id = device JOIN well ON well.id = well
      GROUP BY well.id HAVING firstS IS NOT NULL ORDER BY well.name`);
  }

  async counters(wellId: string): Promise<Counters> {
    const sql = 'SELECT id, accepted, duplicate FROM well WHERE name = ?';
    type Row = { id: number; accepted: number; duplicate: number };
    const row = this.#db.get<Row>(sql, wellId);
    if (row === undefined) return { accepted: 0, duplicate: 0, refused: {} };
    const codes = this.#db.all<{ code: string; count: number }>(
      'SELECT code, count FROM refusals WHERE well = ? ORDER BY code',
      row.id,
    );
    const refused = Object.fromEntries(codes.map(({ code, count }) => [code, count]));
    return { accepted: row.accepted, duplicate: row.duplicate, refused };
  }

  async refused(wellId: string, most: number): Promise<RefusedRecord[]> {
    const sql = `SELECT device, boot, seq, arrived_s AS arrivedS, place AS "index", code
      FROM refused WHERE well = ? ORDER BY id DESC LIMIT ?`;
    return this.#db.all(sql, findWell(this.#db, wellId)?.id ?? -1, most);
  }

  async keepSnapshot({ wellId, beforeS, madeBy, state }: Snapshot): Promise<void> {
    const packed = packState(state);
    const into = 'INSERT OR REPLACE INTO snapshot (well, made_by, before_s, state)';
    this.#db.write(() => {
      const { id } = wellNamed(this.#db, wellId);
      this.#db.run(`${into} VALUES (?, ?, ?, ?)`, id, madeBy, beforeS, packed);
    });
  }

  async snapshotBefore(wellId: string, beforeS: number, madeBy: string): Promise<Snapshot | null> {
    return readSnapshot(this.#db, { wellId, beforeS, madeBy }, (atS) => {
      const which = `${wellId} ${madeBy} ${atS}`;
      if (this.#toldDamaged.has(which)) return;
      this.#toldDamaged.add(which);
      const says = `the snapshot of ${instant(atS)} is damaged and is passed over`;
      this.#onDamage('snapshot', wellId, says);
    });
  }

  async dropSnapshotsAfter(wellId: string, fromS: number): Promise<void> {
    const sql = 'DELETE FROM snapshot WHERE well = ? AND before_s > ?';
    this.#db.write(() => this.#db.run(sql, findWell(this.#db, wellId)?.id ?? -1, fromS));
  }

  async snapshots(wellId: string): Promise<{ beforeS: number; madeBy: string }[]> {
    const sql = `SELECT before_s AS beforeS, made_by AS madeBy FROM snapshot
      WHERE well = ? ORDER BY before_s, made_by`;
    return this.#db.all(sql, findWell(this.#db, wellId)?.id ?? -1);
  }

  async dropSnapshots(
    wellId: string,
    which: readonly { beforeS: number; madeBy: string }[],
  ): Promise<void> {
    const sql = 'DELETE FROM snapshot WHERE well = ? AND before_s = ? AND made_by = ?';
    const well = findWell(this.#db, wellId)?.id ?? -1;
    this.#db.write(() => {
      for (const { beforeS, madeBy } of which) this.#db.run(sql, well, beforeS, madeBy);
    });
  }

  async keptBefore(wellId: string, beforeS: number): Promise<number> {
    return countKeptBefore(this.#db, wellId, beforeS);
  }

  async wait(packs: readonly WaitingPack[]): Promise<Kept[]> {
    for (const pack of packs) checkPack(pack);
    return this.#db.write(() => packs.map((pack) => putWaiting(this.#db, pack)));
  }

  async waiting(): Promise<WaitingPack[]> {
    return readWaiting(this.#db);
  }

  async settle(boot: BootTime): Promise<void> {
    this.#db.write(() => settleBoot(this.#db, boot));
  }

  async boots(): Promise<BootTime[]> {
    return readBoots(this.#db);
  }

  async putRecords(
    wellId: string,
    kind: RecordKind,
    fromS: number,
    records: readonly StoredRecord[],
  ): Promise<void> {
    const into = 'INSERT OR REPLACE INTO record (well, kind, id, at_s, body)';
    this.#db.write(() => {
      const { id: well } = wellNamed(this.#db, wellId);
      const drop = 'DELETE FROM record WHERE well = ? AND kind = ? AND at_s >= ?';
      this.#db.run(drop, well, kind, fromS);
      for (const { id, atS, body } of records)
        this.#db.run(`${into} VALUES (?, ?, ?, ?, ?)`, well, kind, id, atS, encodeState(body));
    });
  }

  async records(
    wellId: string,
    kind: RecordKind,
    fromS: number,
    toS: number,
  ): Promise<StoredRecord[]> {
    const sql = `SELECT id, at_s AS atS, body FROM record
      WHERE well = ? AND kind = ? AND at_s >= ? AND at_s < ? ORDER BY at_s, id`;
    const well = findWell(this.#db, wellId)?.id ?? -1;
    return this.#db
      .all<{ id: string; atS: number; body: string }>(sql, well, kind, fromS, toS)
      .map(({ id, atS, body }) => ({ id, atS, body: decodeState(body) }));
  }

  /** Copies all of it to a new file while it is in use, and checks the copy. */
  async backup(path: string): Promise<Checked> {
    return backupTo(this.#db, path);
  }

  async check(): Promise<Checked> {
    return checkDatabase(this.#db);
  }

  /** What `dropRawBefore` would drop to leave the last so many days that have readings. */
  async oldRaw(wellId: string, keepDays: number): Promise<OldRaw> {
    return oldRawOf(this.#db, wellId, keepDays);
  }

  /**
   * Drops the raw readings of the whole hours before an instant for good; their summaries stay. A
   * reading of those hours that comes later is refused as `late`. Returns the hour it went up to.
   */
  async dropRawBefore(wellId: string, beforeS: number): Promise<number> {
    const well = findWell(this.#db, wellId);
    const before = hourOf(beforeS);
    if (well === undefined || before <= (well.rawFromHour ?? Number.NEGATIVE_INFINITY))
      return (well?.rawFromHour ?? before) * HOUR_S;
    this.#db.write(() => {
      noteKeptBefore(this.#db, { id: well.id, name: wellId }, before);
      const ids = 'SELECT hour * 1048576 + stream FROM summary WHERE stream = ? AND hour < ?';
      // Where the file may not grow, what is sealed and done with makes room for the rest.
      const done = 'AND hour NOT IN (SELECT hour FROM fresh)';
      const streams = streamsOf(this.#db, well.id);
      for (const { id } of streams)
        this.#db.run(`DELETE FROM chunk WHERE id IN (${ids} ${done})`, id, before);
      for (const hour of this.#freshHours(well.id))
        if (hour < before) dropHour(this.#db, well.id, hour);
      for (const { id } of streams)
        this.#db.run(`DELETE FROM chunk WHERE id IN (${ids})`, id, before);
      this.#db.run('UPDATE well SET raw_from_hour = ? WHERE id = ?', before, well.id);
    });
    this.#open.set(well.id, new Set(this.#freshHours(well.id)));
    this.#db.write(() => this.#db.raw.exec('PRAGMA incremental_vacuum'));
    return before * HOUR_S;
  }

  async close(): Promise<void> {
    this.#db.close();
  }

  /** In the order they were opened. */
  #freshHours(well: number): number[] {
    const sql = `SELECT hour FROM fresh JOIN stream ON stream.id = fresh.stream
      JOIN device ON device.id = stream.device WHERE device.well = ?
      GROUP BY hour ORDER BY min(fresh.id)`;
    return this.#db.all<{ hour: number }>(sql, well).map(({ hour }) => hour);
  }

  #opened(well: number, hour: number): boolean {
    let hours = this.#open.get(well);
    if (hours === undefined) {
      hours = new Set();
      this.#open.set(well, hours);
    }
    if (hours.has(hour)) return false;
    hours.add(hour);
    return true;
  }

  /** Seals after a commit that opened an hour; the readings are kept whatever comes of it. */
  #noteOpened(taken: readonly Taken[]): void {
    const wells = new Set<number>();
    for (const { well, hours } of taken)
      for (const hour of hours) if (this.#opened(well, hour)) wells.add(well);
    for (const well of wells) {
      try {
        this.#sealWell(well, STAY_FRESH);
      } catch (error) {
        const says = `readings are kept, and not sealed: ${(error as Error).message}`;
        this.#onDamage('sealing', nameOfWell(this.#db, well), says);
      }
    }
  }

  #sealWell(well: number, stay: number): void {
    const open = this.#open.get(well)!;
    const now = [...open].slice(0, Math.min(SEALED_AT_ONCE, Math.max(0, open.size - stay)));
    if (now.length === 0) return;
    const damaged: [hour: number, says: string][] = [];
    this.#db.write(() => {
      for (const hour of now) {
        try {
          sealHour(this.#db, well, hour);
        } catch (error) {
          // What the disk says ends all of it. An hour that cannot be decoded stays fresh.
          if ((error as { errcode?: number }).errcode !== undefined) throw error;
          damaged.push([hour, (error as Error).message]);
        }
      }
    });
    for (const hour of now) open.delete(hour);
    for (const [hour, says] of damaged)
      this.#onDamage('hour', nameOfWell(this.#db, well), `hour ${instant(hour * HOUR_S)}: ${says}`);
  }

  /** The first hour from `hour` on that has readings of the well. */
  #nextHour(well: number, hour: number): number | null {
    const found = streamsOf(this.#db, well)
      .map(({ id }) => nextHourOf(this.#db, id, hour))
      .filter((one) => one !== null);
    return found.length === 0 ? null : Math.min(...found);
  }
}
