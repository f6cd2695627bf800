import {
  closeSync,
  copyFileSync,
  existsSync,
  fsyncSync,
  openSync,
  renameSync,
  rmSync,
  statSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { backup } from 'node:sqlite';
import { type Checked, checkDatabase } from './check.ts';
import { Database } from './database.ts';
import { diskError } from './disk.ts';
import { StoreFileError } from './schema.ts';
import { dropDamagedSnapshots } from './snapshots.ts';

/** All pages in one step, which sees one state of the store while others write on. */
const ALL_PAGES = 2 ** 31 - 1;
/** What the database keeps beside its file. */
const BESIDE = ['', '-wal', '-shm', '-journal'];

/** Copies a store in use to a new file, checked, and there as a whole or not at all. */
export async function backupTo(db: Database, path: string): Promise<Checked> {
  return intoPlace(path, async (partial) => {
    // By a connection of its own: on the one that writes, a copy under way may fail.
    const source = new Database(db.path, { readOnly: true });
    try {
      await backup(source.raw, partial, { rate: ALL_PAGES });
    } finally {
      source.close();
    }
  });
}

/** Brings a backup back as a new store; an older one comes to the newest version. */
export async function restoreStore(from: string, to: string): Promise<Checked> {
  if (!existsSync(from)) throw new StoreFileError(from, 'a backup', 'no file');
  if ((statSync(`${from}-wal`, { throwIfNoEntry: false })?.size ?? 0) > 0)
    throw new StoreFileError(from, 'a backup', 'a store in use: back it up first');
  return intoPlace(to, async (partial) => copyFileSync(from, partial));
}

async function intoPlace(path: string, make: (partial: string) => Promise<void>): Promise<Checked> {
  for (const end of BESIDE)
    if (existsSync(path + end)) throw new StoreFileError(path + end, 'no file yet', 'one there');
  const partial = `${path}.partial`;
  removeAll(partial);
  try {
    await make(partial);
    const copy = new Database(partial);
    try {
      dropDamagedSnapshots(copy);
      const checked = await checkDatabase(copy);
      const [problem] = checked.problems;
      if (problem !== undefined) throw new StoreFileError(path, 'a sound copy', problem);
      // One file with nothing beside it.
      copy.raw.exec('PRAGMA journal_mode = DELETE');
      copy.close();
      sync(partial);
      renameSync(partial, path);
      sync(dirname(path));
      return checked;
    } finally {
      copy.close();
    }
  } catch (error) {
    removeAll(partial);
    throw diskError(error);
  }
}

function removeAll(path: string): void {
  for (const end of BESIDE) rmSync(path + end, { force: true });
}

function sync(path: string): void {
  const file = openSync(path, 'r');
  try {
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
}
