import { existsSync } from 'node:fs';
import {
  DatabaseSync,
  type SQLInputValue,
  type SQLOutputValue,
  type StatementSync,
} from 'node:sqlite';
import { diskError } from './disk.ts';
import { migrate, STEPS, StoreFileError, versionOf } from './schema.ts';

export interface OpenOptions {
  /** Nothing is written, the file must be there and of the newest version. */
  readOnly?: boolean;
  /** What a file is brought to: the newest version, unless a test says otherwise. */
  steps?: readonly string[];
}

type Row = Record<string, SQLOutputValue>;

const WAIT_FOR_OTHERS_MS = 5000;
const NOT_A_DATABASE = 26;

/** A store file that is open. Statements are made once; all writing is in transactions. */
export class Database {
  readonly path: string;
  readonly raw: DatabaseSync;
  readonly #statements = new Map<string, StatementSync>();

  constructor(path: string, { readOnly = false, steps = STEPS }: OpenOptions = {}) {
    this.path = path;
    if (readOnly && !existsSync(path)) throw new StoreFileError(path, 'a store', 'no file');
    try {
      this.raw = new DatabaseSync(path, { readOnly, timeout: WAIT_FOR_OTHERS_MS });
    } catch (error) {
      throw diskError(error);
    }
    try {
      if (readOnly) this.#expectVersion(steps.length);
      else {
        migrate(this.raw, path, steps);
        this.raw.exec('PRAGMA journal_mode = WAL');
        this.raw.exec('PRAGMA synchronous = FULL');
      }
    } catch (error) {
      this.raw.close();
      const { errcode } = error as { errcode?: number };
      if (errcode !== NOT_A_DATABASE) throw diskError(error);
      throw new StoreFileError(path, 'a store of readings', 'a file of something else');
    }
  }

  #expectVersion(newest: number): void {
    const version = versionOf(this.raw, this.path);
    if (version === newest) return;
    const expected = `a store of version ${newest}`;
    throw new StoreFileError(this.path, expected, `version ${version}`);
  }

  run(sql: string, ...values: SQLInputValue[]): { changes: number; lastId: number } {
    const { changes, lastInsertRowid } = this.#statement(sql).run(...values);
    return { changes: Number(changes), lastId: Number(lastInsertRowid) };
  }

  get<T = Row>(sql: string, ...values: SQLInputValue[]): T | undefined {
    return this.#statement(sql).get(...values) as T | undefined;
  }

  all<T = Row>(sql: string, ...values: SQLInputValue[]): T[] {
    return this.#statement(sql).all(...values) as T[];
  }

  /** All that `work` writes, or nothing of it. Returns once it is on the disk. */
  write<T>(work: () => T): T {
    try {
      this.raw.exec('BEGIN IMMEDIATE');
      const result = work();
      this.raw.exec('COMMIT');
      return result;
    } catch (error) {
      if (this.raw.isTransaction) this.raw.exec('ROLLBACK');
      throw diskError(error);
    }
  }

  close(): void {
    this.#statements.clear();
    if (this.raw.isOpen) this.raw.close();
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
