import { existsSync, statSync } from 'node:fs';
import {
  DatabaseSync,
  type SQLInputValue,
  type SQLOutputValue,
  type StatementSync,
} from 'node:sqlite';
import { pathToFileURL } from 'node:url';
import { StoreRefuses } from '../../ports/reading-store.ts';
import { diskError, FULL, mayStillBeRead, readError } from './disk.ts';
import { migrate, pragma, STEPS, StoreFileError, versionOf } from './schema.ts';

export interface OpenOptions {
  /** Nothing is written, the file must be there and of the newest version. */
  readOnly?: boolean;
  /** The file grows no larger; without it, as large as the disk. */
  mostBytes?: number;
  /** What a file is brought to: the newest version, unless a test says otherwise. */
  steps?: readonly string[];
}

type Row = Record<string, SQLOutputValue>;

const WAIT_FOR_OTHERS_MS = 5000;
const NOT_A_DATABASE = 26;

/** A store file that is open. Statements are made once; all writing is in transactions. */
export class Database {
  readonly path: string;
  raw: DatabaseSync;
  readonly #options: OpenOptions;
  /** Opened to be read where it was to be written. */
  #fellBack = false;
  readonly #statements = new Map<string, StatementSync>();

  constructor(path: string, options: OpenOptions = {}) {
    this.path = path;
    this.#options = options;
    const { readOnly = false, steps = STEPS } = options;
    if (readOnly && !existsSync(path)) throw new StoreFileError(path, 'a store', 'no file');
    try {
      this.raw = readOnly ? this.#openToRead(steps) : this.#openToWrite();
    } catch (error) {
      // What was kept stays readable on a disk that has become read-only.
      if (readOnly || !mayStillBeRead(error) || !existsSync(path)) throw diskError(error);
      this.raw = this.#openToRead(steps);
      this.#fellBack = true;
    }
  }

  #openToWrite(): DatabaseSync {
    const { mostBytes, steps = STEPS } = this.#options;
    return this.#opened(this.path, false, (raw) => {
      migrate(raw, this.path, steps);
      raw.exec('PRAGMA journal_mode = WAL');
      raw.exec('PRAGMA synchronous = FULL');
      if (mostBytes === undefined) return;
      const pages = Math.floor(mostBytes / Number(pragma(raw, 'page_size')));
      raw.exec(`PRAGMA max_page_count = ${pages}`);
    });
  }

  #openToRead(steps: readonly string[]): DatabaseSync {
    const look = (raw: DatabaseSync) => this.#expectVersion(raw, steps.length);
    try {
      return this.#opened(this.path, true, look);
    } catch (error) {
      const log = `${this.path}-wal`;
      const waiting = existsSync(log) && statSync(log).size > 0;
      if (waiting || !mayStillBeRead(error)) throw diskError(error);
      // No log to be read, and none can be begun: the file alone is all there is.
      const alone = pathToFileURL(this.path);
      alone.searchParams.set('immutable', '1');
      return this.#opened(alone, true, look);
    }
  }

  #opened(path: string | URL, readOnly: boolean, use: (raw: DatabaseSync) => void): DatabaseSync {
    const raw = new DatabaseSync(path, { readOnly, timeout: WAIT_FOR_OTHERS_MS });
    try {
      use(raw);
      return raw;
    } catch (error) {
      raw.close();
      if ((error as { errcode?: number }).errcode !== NOT_A_DATABASE) throw error;
      throw new StoreFileError(this.path, 'a store of readings', 'a file of something else');
    }
  }

  #expectVersion(raw: DatabaseSync, newest: number): void {
    const version = versionOf(raw, this.path);
    if (version === newest) return;
    const expected = `a store of version ${newest}`;
    throw new StoreFileError(this.path, expected, `version ${version}`);
  }

  run(sql: string, ...values: SQLInputValue[]): { changes: number; lastId: number } {
    const { changes, lastInsertRowid } = this.#statement(sql).run(...values);
    return { changes: Number(changes), lastId: Number(lastInsertRowid) };
  }

  get<T = Row>(sql: string, ...values: SQLInputValue[]): T | undefined {
    return this.#read(sql, (statement) => statement.get(...values)) as T | undefined;
  }

  all<T = Row>(sql: string, ...values: SQLInputValue[]): T[] {
    return this.#read(sql, (statement) => statement.all(...values)) as T[];
  }

  /** All that `work` writes, or nothing of it. Returns once it is on the disk. */
  write<T>(work: () => T): T {
    if (this.#fellBack) this.#openAgain();
    try {
      return this.#transaction(work);
    } catch (error) {
      if ((error as { errcode?: number }).errcode !== FULL) throw diskError(error);
    }
    // What waits in the log of the database may find its place, and leave some, before all is full.
    try {
      this.raw.exec('PRAGMA wal_checkpoint(TRUNCATE)');
      return this.#transaction(work);
    } catch (error) {
      throw diskError(error);
    }
  }

  /** A disk that could not be written when the store was opened may be by now. */
  #openAgain(): void {
    try {
      const raw = this.#openToWrite();
      this.close();
      this.raw = raw;
      this.#fellBack = false;
    } catch (error) {
      if (!(error instanceof Error) || !mayStillBeRead(error)) throw diskError(error);
      throw Object.assign(new StoreRefuses('read-only', error.message), { cause: error });
    }
  }

  #transaction<T>(work: () => T): T {
    try {
      this.raw.exec('BEGIN IMMEDIATE');
      const result = work();
      this.raw.exec('COMMIT');
      return result;
    } catch (error) {
      if (this.raw.isTransaction) this.raw.exec('ROLLBACK');
      throw error;
    }
  }

  close(): void {
    this.#statements.clear();
    if (this.raw.isOpen) this.raw.close();
  }

  #read<T>(sql: string, read: (statement: StatementSync) => T): T {
    try {
      return read(this.#statement(sql));
    } catch (error) {
      throw readError(error);
    }
  }

  #statement(sql: string): StatementSync {
    let statement = this.#statements.get(sql);
    if (statement === undefined) {
      statement = this.raw.prepare(sql);
      this.#statements.set(sql, statement);
    }
    return statement;
  }
}
