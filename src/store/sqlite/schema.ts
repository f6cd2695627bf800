import type { DatabaseSync } from 'node:sqlite';
import { fromVersion1 } from './chunk-version-1.ts';

/** In the header of the file: 'Well' in ASCII. */
export const APPLICATION_ID = 0x57656c6c;

/**
 * What brings a file from version i to i + 1; a new file goes all the way. A step, once released,
 * is never changed. docs/formats/store.md tells what the tables hold.
 */
export const STEPS: readonly string[] = [
  `
  CREATE TABLE well (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    raw_from_hour INTEGER,
    accepted INTEGER NOT NULL DEFAULT 0,
    duplicate INTEGER NOT NULL DEFAULT 0
  ) STRICT;
  CREATE TABLE device (
    id INTEGER PRIMARY KEY,
    well INTEGER NOT NULL REFERENCES well,
    name TEXT NOT NULL,
    forgot INTEGER NOT NULL DEFAULT 0,
    UNIQUE (well, name)
  ) STRICT;
  CREATE TABLE stream (
    id INTEGER PRIMARY KEY,
    device INTEGER NOT NULL REFERENCES device,
    channel TEXT NOT NULL,
    UNIQUE (device, channel)
  ) STRICT;
  CREATE TABLE fresh (
    id INTEGER PRIMARY KEY,
    stream INTEGER NOT NULL REFERENCES stream,
    hour INTEGER NOT NULL,
    time_s ANY NOT NULL,
    value ANY NOT NULL
  ) STRICT;
  CREATE INDEX fresh_by_time ON fresh (stream, hour, time_s);
  CREATE TABLE summary (
    stream INTEGER NOT NULL REFERENCES stream,
    hour INTEGER NOT NULL,
    count INTEGER NOT NULL,
    first_s REAL NOT NULL,
    last_s REAL NOT NULL,
    least REAL NOT NULL,
    greatest REAL NOT NULL,
    sum REAL,
    PRIMARY KEY (stream, hour)
  ) STRICT, WITHOUT ROWID;
  CREATE TABLE chunk (
    id INTEGER PRIMARY KEY, -- hour * 1048576 + stream: what is sealed goes to the end
    times_of INTEGER REFERENCES stream,
    readings BLOB NOT NULL
  ) STRICT;
  CREATE TABLE seen (
    device INTEGER NOT NULL REFERENCES device,
    boot INTEGER NOT NULL,
    first INTEGER NOT NULL,
    last INTEGER NOT NULL,
    arrived_s REAL NOT NULL,
    PRIMARY KEY (device, boot, first)
  ) STRICT, WITHOUT ROWID;
  CREATE TABLE refused (
    id INTEGER PRIMARY KEY,
    well INTEGER NOT NULL REFERENCES well,
    device TEXT NOT NULL,
    boot INTEGER,
    seq INTEGER,
    arrived_s REAL NOT NULL,
    place INTEGER NOT NULL,
    code TEXT NOT NULL
  ) STRICT;
  CREATE INDEX refused_of_well ON refused (well);
  CREATE TABLE refusals (
    well INTEGER NOT NULL REFERENCES well,
    code TEXT NOT NULL,
    count INTEGER NOT NULL,
    PRIMARY KEY (well, code)
  ) STRICT, WITHOUT ROWID;
  CREATE TABLE snapshot (
    well INTEGER NOT NULL REFERENCES well,
    made_by TEXT NOT NULL,
    before_s REAL NOT NULL,
    state BLOB NOT NULL,
    kept_before INTEGER, -- readings earlier than it, where raw ones of its hour were dropped
    PRIMARY KEY (well, made_by, before_s)
  ) STRICT;
  CREATE TABLE record (
    well INTEGER NOT NULL REFERENCES well,
    kind TEXT NOT NULL,
    id TEXT NOT NULL,
    at_s REAL NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (well, kind, id)
  ) STRICT;
  CREATE INDEX record_by_time ON record (well, kind, at_s);
  CREATE TABLE waiting (
    id INTEGER PRIMARY KEY,
    well INTEGER NOT NULL REFERENCES well,
    device TEXT NOT NULL,
    boot INTEGER NOT NULL,
    seq INTEGER,
    arrived_s REAL NOT NULL,
    uptime_s REAL NOT NULL,
    body TEXT NOT NULL,
    UNIQUE (well, device, boot, seq)
  ) STRICT;
  CREATE TABLE boot_time (
    id INTEGER PRIMARY KEY,
    well INTEGER NOT NULL REFERENCES well,
    device TEXT NOT NULL,
    boot INTEGER NOT NULL,
    began_s REAL NOT NULL,
    from_device INTEGER NOT NULL,
    UNIQUE (well, device, boot)
  ) STRICT;
  `,
  // Chunks coded by chances that are learnt, which takes a seventh off them.
  'UPDATE chunk SET readings = from_version_1(readings)',
];

/** A file that is not taken for a store, or not by this version. */
export class StoreFileError extends Error {
  readonly path: string;
  constructor(path: string, expected: string, found: string) {
    super(`${path}: expected ${expected}, found ${found}`);
    this.path = path;
  }
}

export function pragma(db: DatabaseSync, name: string): unknown {
  return Object.values(db.prepare(`PRAGMA ${name}`).get() ?? {})[0];
}

/** The version of a store file, 0 of one with nothing in it. Throws on any other file. */
export function versionOf(db: DatabaseSync, path: string): number {
  const application = pragma(db, 'application_id');
  const version = Number(pragma(db, 'user_version'));
  const { tables } = db.prepare('SELECT count(*) AS tables FROM sqlite_schema').get() ?? {};
  if (application === APPLICATION_ID && version > 0) return version;
  if (application === 0 && version === 0 && tables === 0) return 0;
  throw new StoreFileError(path, 'a store of readings', 'a database of something else');
}

/** Brings a file to the version that `steps` lead to, all of the way or not at all. */
export function migrate(db: DatabaseSync, path: string, steps: readonly string[]): void {
  // Of a file with nothing in it only; before its first page is written. A page holds several hours
  // of a channel at 1 Hz, which would fill little more than half of a smaller one.
  if (versionOf(db, path) === 0)
    db.exec('PRAGMA page_size = 8192; PRAGMA auto_vacuum = INCREMENTAL');
  db.function('from_version_1', (blob) => fromVersion1(blob as Uint8Array));
  db.exec('BEGIN IMMEDIATE');
  try {
    const version = versionOf(db, path);
    if (version > steps.length) {
      const found = `version ${version}, made by a newer program`;
      throw new StoreFileError(path, `a store of version ${steps.length} or older`, found);
    }
    if (version < steps.length) {
      for (const step of steps.slice(version)) db.exec(step);
      db.exec(`PRAGMA application_id = ${APPLICATION_ID}`);
      db.exec(`PRAGMA user_version = ${steps.length}`);
    }
    db.exec('COMMIT');
  } catch (error) {
    if (db.isTransaction) db.exec('ROLLBACK');
    throw error;
  }
}
