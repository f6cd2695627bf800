import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { zstdCompressSync } from 'node:zlib';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { restoreStore } from './backup.ts';
import { SqliteStore } from './store.ts';

const T0 = 1_775_433_600;

let folder: string;
let path: string;
let store: SqliteStore;
let told: string[];
const open = () =>
  new SqliteStore(path, { onDamage: (_what, well, says) => told.push(`${well}: ${says}`) });
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'wellwright-snapshots-'));
  path = join(folder, 'store.sqlite');
  told = [];
  store = open();
  for (const hour of [1, 2]) await store.keepSnapshot(at(hour));
});
afterEach(async () => {
  await store.close();
  rmSync(folder, { recursive: true });
});

/** Long enough that zstd leaves much of it as it is. */
const at = (hour: number) => ({
  wellId: 'ridge',
  madeBy: 'a',
  beforeS: T0 + 3600 * hour,
  state: JSON.stringify(Array.from({ length: 500 }, (_, i) => Math.sin(hour + i))),
});

/** Writes other bytes in place of a state, as a failing disk does. */
function damage(hour: number, change: (state: Uint8Array) => Uint8Array): void {
  const db = new DatabaseSync(path);
  const where = 'WHERE before_s = ?';
  const row = db.prepare(`SELECT state FROM snapshot ${where}`).get(T0 + 3600 * hour);
  const put = db.prepare(`UPDATE snapshot SET state = ? ${where}`);
  put.run(change(row!.state as Uint8Array), T0 + 3600 * hour);
  db.close();
}

const flipped = (bit: number) => (state: Uint8Array) => {
  const copy = Uint8Array.from(state);
  copy[bit >> 3]! ^= 1 << (bit & 7);
  return copy;
};
const latest = () => store.snapshotBefore('ridge', T0 + 1e6, 'a');

describe('a damaged snapshot', () => {
  it('with any one bit of it flipped does not count: the one before it does', async () => {
    const db = new DatabaseSync(path);
    const { bytes } = db.prepare('SELECT max(length(state)) AS bytes FROM snapshot').get()!;
    db.close();
    const bits = 8 * Number(bytes);
    for (const bit of [0, 7, 8, 39, 40, ...Array.from({ length: 60 }, (_, i) => 41 + i * 487)]) {
      if (bit >= bits) break;
      damage(2, flipped(bit));
      expect(await latest(), `bit ${bit}`).toEqual(at(1));
      damage(2, flipped(bit));
    }
    expect(await latest()).toEqual(at(2));
  });

  it('is told once, and found by the check with the well and the time', async () => {
    damage(2, flipped(999));
    for (let i = 0; i < 3; i++) expect(await latest()).toEqual(at(1));
    expect(told).toEqual([
      'ridge: the snapshot of 2026-04-06T02:00:00.000Z is damaged and is passed over',
    ]);
    expect(await store.check()).toMatchObject({
      snapshots: 1,
      problems: ['well ridge, snapshot of 2026-04-06T02:00:00.000Z: it is damaged'],
    });
    damage(1, (state) => state.subarray(0, 3));
    expect(await latest()).toBe(null);
    expect((await store.check()).problems).toHaveLength(2);
  });

  it('is no reason not to back up or restore: the copy does without', async () => {
    damage(2, flipped(999));
    const copy = join(folder, 'copy.sqlite');
    expect(await store.backup(copy)).toMatchObject({ snapshots: 1, problems: [] });
    const restored = join(folder, 'restored.sqlite');
    expect(await restoreStore(copy, restored)).toMatchObject({ snapshots: 1, problems: [] });
  });
});

it('one kept before there were sums does not count, and nothing is told of it', async () => {
  for (const version of [2, 1]) {
    damage(2, () => zstdCompressSync(Buffer.from(at(2).state)));
    await store.close();
    const db = new DatabaseSync(path);
    db.exec(`PRAGMA user_version = ${version}`);
    db.close();
    store = open();
    expect(await latest()).toEqual(at(1));
    expect(await store.check()).toMatchObject({ snapshots: 1, problems: [] });
    await store.keepSnapshot(at(2));
    expect(await latest()).toEqual(at(2));
  }
  expect(told).toEqual([]);
});
