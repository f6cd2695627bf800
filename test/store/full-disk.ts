/**
 * Fills a small disk with readings, gives it space again, and makes it read-only and back; writes
 * what the store said as JSON. The disk is mounted on the folder by test/store/disk.test.ts:
 *
 *   node test/store/full-disk.ts <folder>
 */
import { execFileSync } from 'node:child_process';
import { rmSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { StoreRefuses } from '../../src/ports/reading-store.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { allReadings } from './all-readings.ts';
import { packNumber } from './keeper.ts';

const MOST_PACKS = 100_000;
const READINGS_A_PACK = 4;

const [folder = ''] = process.argv.slice(2);
const ballast = join(folder, 'ballast');
writeFileSync(ballast, Buffer.alloc(4 << 20));
const path = join(folder, 'store.sqlite');
let store = new SqliteStore(path);
let acknowledged = 0;

/** Keeps packs until the store refuses or has had enough; why it refused. */
async function keepUntilRefused(most: number): Promise<string | null> {
  for (let left = most; left > 0; left--) {
    try {
      await store.keep([packNumber(acknowledged)]);
      acknowledged++;
    } catch (error) {
      if (error instanceof StoreRefuses) return error.why;
      throw error;
    }
  }
  return null;
}

function tried(): string | null {
  try {
    store.tryWrite();
    return null;
  } catch (error) {
    if (error instanceof StoreRefuses) return error.why;
    throw error;
  }
}

const holds = async () =>
  (await allReadings(store, 'ridge')).length === acknowledged * READINGS_A_PACK;

const mounted = (how: 'ro' | 'rw') => execFileSync('mount', ['-o', `remount,${how}`, folder]);

const whenFull = await keepUntilRefused(MOST_PACKS);
const keptWhenFull = acknowledged;
const heldWhenFull = await holds();
const stillFull = await keepUntilRefused(1);
await store.close();
store = new SqliteStore(path);
const triedWhenFull = tried();
rmSync(ballast);
const triedWithSpace = tried();
const afterSpace = await keepUntilRefused(50);
await store.seal('all');
// A disk is not made read-only under a file that is open to be written.
await store.close();
mounted('ro');
store = new SqliteStore(path);
const whenReadOnly = await keepUntilRefused(1);
const triedReadOnly = tried();
const heldWhenReadOnly = await holds();
// Made writable again under the open store, which finds out by itself.
mounted('rw');
const triedWritable = tried();
const afterReadOnly = await keepUntilRefused(50);
const { problems } = await store.check();
const heldAtLast = await holds();
await store.close();
writeSync(
  1,
  JSON.stringify({
    ...{ whenFull, keptWhenFull, heldWhenFull, stillFull, afterSpace },
    ...{ triedWhenFull, triedWithSpace, triedReadOnly, triedWritable },
    ...{ whenReadOnly, heldWhenReadOnly, afterReadOnly, heldAtLast, problems },
  }),
);
