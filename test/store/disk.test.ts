import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { StoreRefuses } from '../../src/ports/reading-store.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { allReadings } from './all-readings.ts';
import { packNumber } from './keeper.ts';

/** A small disk in memory, seen by the child alone. */
const MOUNT = 'mount -t tmpfs -o size=8m tmpfs "$1" && exec "$2" "$3" "$1"';

describe('a store whose disk takes no more', () => {
  it('full, and read-only: refuses, keeps what it acknowledged, and goes on', ({ skip }) => {
    const folder = mkdtempSync(join(tmpdir(), 'wellwright-disk-'));
    try {
      const inside = ['-rm', 'sh', '-c'];
      if (spawnSync('unshare', [...inside, `mount -t tmpfs tmpfs '${folder}'`]).status !== 0)
        skip('expected to be allowed a disk of its own (unshare, mount), was not');
      const script = join(import.meta.dirname, 'full-disk.ts');
      const args = [...inside, MOUNT, 'sh', folder, process.execPath, script];
      const { stdout, stderr } = spawnSync('unshare', args, { encoding: 'utf8' });
      expect(stderr).toBe('');
      const said = JSON.parse(stdout);
      expect(said).toMatchObject({
        ...{ whenFull: 'disk-full', heldWhenFull: true, stillFull: 'disk-full' },
        afterSpace: null,
        ...{ triedWhenFull: 'disk-full', triedWithSpace: null },
        ...{ triedReadOnly: 'read-only', triedWritable: null },
        ...{ whenReadOnly: 'read-only', heldWhenReadOnly: true, afterReadOnly: null },
        ...{ heldAtLast: true, problems: [] },
      });
      expect(said.keptWhenFull).toBeGreaterThan(20);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it('failing writes: the same', ({ skip }) => {
    const folder = mkdtempSync(join(tmpdir(), 'wellwright-disk-'));
    try {
      if (spawnSync('prlimit', ['--version']).status !== 0)
        skip('expected prlimit to limit the size of files with, found none');
      const script = join(import.meta.dirname, 'failing-writes.ts');
      const args = [process.execPath, script, join(folder, 'store.sqlite')];
      const limited = ['-c', 'ulimit -S -f 400 && exec "$@"', 'sh', ...args];
      const { stdout, stderr } = spawnSync('sh', limited, { encoding: 'utf8' });
      expect(stderr).toBe('');
      const said = JSON.parse(stdout);
      expect(said).toMatchObject({ why: 'disk-error', held: true, problems: [] });
      expect(said.after).toMatchObject({ accepted: 4, duplicate: 0 });
      expect(said.kept).toBeGreaterThan(3);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it('at the size it was given: refuses, and takes again once readings are dropped', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'wellwright-disk-'));
    const store = new SqliteStore(join(folder, 'store.sqlite'), { mostBytes: 300_000 });
    try {
      let n = 0;
      const keepOn = async () => {
        for (; n < 20_000; n += 50)
          await store.keep(Array.from({ length: 50 }, (_, i) => packNumber(n + i)));
      };
      const refused = await keepOn().catch((error: unknown) => error);
      expect(refused).toBeInstanceOf(StoreRefuses);
      expect(refused).toMatchObject({ why: 'disk-full' });
      expect(await allReadings(store, 'ridge')).toHaveLength(4 * n);
      expect((await store.check()).problems).toEqual([]);
      await store.dropRawBefore('ridge', packNumber(n).arrivedS - 7 * 3600);
      expect(await store.keep([packNumber(n)])).toMatchObject([{ accepted: 4 }]);
      expect((await store.check()).problems).toEqual([]);
    } finally {
      await store.close();
      rmSync(folder, { recursive: true });
    }
  });
});
