import { DatabaseSync, type StatementSync } from 'node:sqlite';
import { CHANNELS, type Channel, type ReadingBatch } from '../../src/model/reading.ts';
import type { Bucket, Kept, Pack } from '../../src/ports/reading-store.ts';
import { MemoryStore } from '../../src/store/memory/store.ts';

interface Row {
  time: number;
  channel: number;
  value: number;
}

/**
 * What somebody would write first, and what the store is measured against: one row a reading, known
 * by its device, channel and time, synced to disk at each commit.
 */
export class PlainTable extends MemoryStore {
  readonly #db: DatabaseSync;
  readonly #insert: StatementSync;

  constructor(path: string) {
    super();
    this.#db = new DatabaseSync(path);
    this.#db.exec('PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL');
    this.#db.exec(`CREATE TABLE reading (well TEXT, device TEXT, channel INTEGER, time REAL,
      value REAL, PRIMARY KEY (well, device, channel, time)) WITHOUT ROWID`);
    this.#insert = this.#db.prepare('INSERT OR IGNORE INTO reading VALUES (?, ?, ?, ?, ?)');
  }

  override async keep(packs: readonly Pack[]): Promise<Kept[]> {
    this.#db.exec('BEGIN IMMEDIATE');
    const kept = packs.map((pack) => this.#take(pack));
    this.#db.exec('COMMIT');
    return kept;
  }

  #take({ wellId, device, readings }: Pack): Kept {
    const kept: Kept = { accepted: 0, duplicate: 0, earliestS: Number.NaN };
    const { count, channel, timeS, value } = readings;
    for (let i = 0; i < count; i++) {
      const { changes } = this.#insert.run(wellId, device, channel[i]!, timeS[i]!, value[i]!);
      kept.accepted += Number(changes);
      kept.duplicate += 1 - Number(changes);
      if (changes !== 0 && !(kept.earliestS <= timeS[i]!)) kept.earliestS = timeS[i]!;
    }
    return kept;
  }

  /** Those of a device without a name. */
  override async *readings(
    wellId: string,
    fromS: number,
    toS: number,
  ): AsyncIterable<ReadingBatch> {
    const sql = `SELECT time, channel, value FROM reading
      WHERE well = ? AND device = '' AND channel IN (0, 1) AND time >= ? AND time < ?
      ORDER BY time, channel`;
    const rows = this.#db.prepare(sql).all(wellId, fromS, toS) as unknown as Row[];
    yield {
      count: rows.length,
      timeS: Float64Array.from(rows, (row) => row.time),
      channel: Uint8Array.from(rows, (row) => row.channel),
      value: Float64Array.from(rows, (row) => row.value),
    };
  }

  override async buckets(
    wellId: string,
    channel: Channel,
    { fromS, toS, count }: { fromS: number; toS: number; count: number },
  ): Promise<Bucket[]> {
    const widthS = (toS - fromS) / count;
    const sql = `SELECT cast((time - :fromS) / :widthS AS INTEGER) AS at, count(*) AS count,
        min(value) AS least, max(value) AS greatest, avg(value) AS mean
      FROM reading WHERE well = :well AND device = '' AND channel = :channel
        AND time >= :fromS AND time < :toS
      GROUP BY at`;
    const named = { fromS, toS, widthS, well: wellId, channel: CHANNELS.indexOf(channel) };
    const rows = this.#db.prepare(sql).all(named) as unknown as (Bucket & { at: number })[];
    return rows.map(({ at, ...row }) => ({ ...row, fromS: fromS + at * widthS }));
  }

  override async close(): Promise<void> {
    this.#db.close();
  }
}
