import { DatabaseSync } from 'node:sqlite';
import type { Kept, Pack, ReadingStore } from '../../src/ports/reading-store.ts';

/**
 * What somebody would write first: a plain table of SQLite, one row a reading, synced to disk at
 * each commit. Knows a reading twice by its key.
 */
export class PlainStore implements Pick<ReadingStore, 'keep'> {
  readonly #db: DatabaseSync;
  readonly #insert: ReturnType<DatabaseSync['prepare']>;

  constructor(path: string) {
    this.#db = new DatabaseSync(path);
    this.#db.exec('PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL');
    this.#db.exec(
      'CREATE TABLE reading (well TEXT, device TEXT, channel INTEGER, at REAL, value REAL, ' +
        'PRIMARY KEY (well, device, channel, at)) WITHOUT ROWID',
    );
    this.#insert = this.#db.prepare('INSERT OR IGNORE INTO reading VALUES (?, ?, ?, ?, ?)');
  }

  keep(packs: readonly Pack[]): Promise<Kept[]> {
    this.#db.exec('BEGIN');
    const kept = packs.map((pack) => this.#take(pack));
    this.#db.exec('COMMIT');
    return Promise.resolve(kept);
  }

  close(): void {
    this.#db.close();
  }

  #take({ wellId, device, readings }: Pack): Kept {
    const kept: Kept = { accepted: 0, duplicate: 0, earliestS: Number.NaN };
    for (let i = 0; i < readings.count; i++) {
      const { channel, timeS, value } = readings;
      const { changes } = this.#insert.run(wellId, device, channel[i]!, timeS[i]!, value[i]!);
      if (changes === 0) kept.duplicate++;
      else {
        kept.accepted++;
        if (!(kept.earliestS <= timeS[i]!)) kept.earliestS = timeS[i]!;
      }
    }
    return kept;
  }
}
