/**
 * A process that keeps packs until it is killed, and writes the number of each to its standard
 * output once it is acknowledged:
 *
 *   node test/store/keeper.ts <store> <first number> <how many> <keep|backup|migrate>
 */
import { rmSync, writeSync } from 'node:fs';
import type { Pack } from '../../src/ports/reading-store.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';

const T0 = 1_775_433_600;
const READINGS = 4;
/** So that an hour is sealed every sixth pack. */
const PACK_S = 600;
const LATE_S = 5 * 3600;

/** Pack `n`, the same whenever it is made; every ninth comes five hours late. */
export function packNumber(n: number): Pack {
  const at = T0 + n * PACK_S - (n % 9 === 8 ? LATE_S : 0);
  const numbers = Array.from({ length: READINGS }, (_, i) => i);
  return {
    wellId: 'ridge',
    device: 'tee',
    boot: 1,
    seq: n,
    arrivedS: T0 + n * PACK_S,
    readings: {
      count: READINGS,
      timeS: Float64Array.from(numbers, (i) => at + i),
      channel: Uint8Array.from(numbers, (i) => i % 2),
      value: Float64Array.from(numbers, (i) => n + i / 100),
    },
    refused: n % 5 === 0 ? [{ index: 9, code: 'wrong-unit' }] : [],
  };
}

async function copyOverAndOver(store: SqliteStore, path: string): Promise<never> {
  for (;;) {
    rmSync(path, { force: true });
    await store.backup(path);
  }
}

async function main([path = '', first = '', count = '', mode = '']: string[]): Promise<void> {
  if (mode === 'migrate') writeSync(1, 'migrating\n');
  const store = new SqliteStore(path);
  if (mode === 'backup') void copyOverAndOver(store, `${path}.copy`);
  for (let n = Number(first); n < Number(first) + Number(count); n++) {
    // A device that got no answer sends again, and now and then one that did.
    await store.keep(n % 4 === 3 ? [packNumber(n - 1), packNumber(n)] : [packNumber(n)]);
    writeSync(1, `${n}\n`);
    if (n % 3 === 0) await new Promise((resolve) => setImmediate(resolve));
  }
  await store.close();
}

if (import.meta.main) await main(process.argv.slice(2));
