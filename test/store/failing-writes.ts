/**
 * Keeps readings until the system lets no file grow, and goes on once it does again; writes what
 * the store said as JSON. Started by test/store/disk.test.ts under a limit of the size of files:
 *
 *   node test/store/failing-writes.ts <store>
 */
import { execFileSync } from 'node:child_process';
import { writeSync } from 'node:fs';
import { StoreRefuses } from '../../src/ports/reading-store.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { allReadings } from './all-readings.ts';
import { packNumber } from './keeper.ts';

const MOST_PACKS = 5000;
const READINGS_A_PACK = 4;

const store = new SqliteStore(process.argv[2] ?? '');
let kept = 0;
let why: string | null = null;
while (why === null && kept < MOST_PACKS) {
  try {
    await store.keep([packNumber(kept)]);
    kept++;
  } catch (error) {
    if (!(error instanceof StoreRefuses)) throw error;
    ({ why } = error);
  }
}
const held = (await allReadings(store, 'ridge')).length === kept * READINGS_A_PACK;
execFileSync('prlimit', ['--pid', String(process.pid), '--fsize=unlimited']);
const [after] = await store.keep([packNumber(kept)]);
const { problems } = await store.check();
await store.close();
writeSync(1, JSON.stringify({ why, kept, held, after, problems }));
