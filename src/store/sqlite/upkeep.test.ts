import { copyFileSync, existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { packOf } from '../../../test/contract/reading-store.contract.ts';
import { allReadings } from '../../../test/store/all-readings.ts';
import { backToVersion1 } from '../../../test/store/version-1.ts';
import { readLogs } from '../../ingest/file/read-logs.ts';
import { exportCsv, exportSenml } from '../export.ts';
import { restoreStore } from './backup.ts';
import { APPLICATION_ID, STEPS } from './schema.ts';
import { SqliteStore } from './store.ts';

const T0 = 1_775_433_600;
const HOUR_S = 3600;

let folder: string;
let path: string;
let store: SqliteStore;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'wellwright-store-'));
  path = join(folder, 'store.sqlite');
  store = new SqliteStore(path);
});
afterEach(async () => {
  await store.close();
  rmSync(folder, { recursive: true });
});

/** Hours of pressure and current, a pack every ten minutes. */
async function fill(hours: number, fromS = T0): Promise<void> {
  const packs = Array.from({ length: hours * 6 }, (_, i) => {
    const at = fromS + i * 600;
    return packOf(
      Array.from({ length: 20 }, (_, k) => {
        const timeS = at + 30 * (k >> 1);
        const value = k % 2 === 0 ? ((4000 + 7 * k + i) / 100) * 6894.757293168361 : 0.01 * k;
        return [timeS, k % 2, value];
      }),
      { boot: 1, seq: (fromS - T0) / 600 + i },
    );
  });
  for (let i = 0; i < packs.length; i += 6) await store.keep(packs.slice(i, i + 6));
}

/** The bytes of the last sealed hour of a channel, no longer those that were written. */
function damageLastHour(): void {
  const db = new DatabaseSync(path);
  db.exec("UPDATE chunk SET readings = x'28b52ffd' WHERE id = (SELECT max(id) FROM chunk)");
  db.close();
}

describe('an hour that cannot be decoded', () => {
  it('takes late readings, numbered or not, and others are sealed all the same', async () => {
    await fill(5);
    await store.seal('all');
    await store.close();
    damageLastHour();
    const told: string[] = [];
    store = new SqliteStore(path, { onDamage: (what, well) => told.push(`${what} of ${well}`) });
    const lateS = T0 + 4.5 * HOUR_S + 1;
    const [numbered, plain] = await store.keep([
      packOf([[lateS, 1, 1]], { boot: 1, seq: 900 }),
      packOf([[lateS + 1, 1, 2]], { boot: null, seq: null }),
    ]);
    expect([numbered!.accepted, plain!.accepted]).toEqual([1, 1]);
    await fill(12, T0 + 10 * HOUR_S);
    expect(told).toEqual(['hour of ridge']);
    const db = new DatabaseSync(path);
    const { hours } = db.prepare('SELECT count(DISTINCT hour) AS hours FROM fresh').get()!;
    db.close();
    // The two that stay fresh, and the damaged one with its two readings.
    expect(hours).toBe(3);
  });
});

describe('backup and restore', () => {
  it('refuses what is no backup but a store in use, as part of it stands beside it', async () => {
    await fill(1);
    const restored = join(folder, 'restored.sqlite');
    await expect(restoreStore(path, restored)).rejects.toThrow('a store in use');
    expect(existsSync(restored)).toBe(false);
  });

  it('copies a store in use, and brings it back the same', async () => {
    await fill(8);
    const copied = store.backup(join(folder, 'copy.sqlite'));
    await fill(2, T0 + 8 * HOUR_S);
    expect((await copied).problems).toEqual([]);
    const expected = await allReadings(store, 'ridge');
    const restored = join(folder, 'restored.sqlite');
    expect((await restoreStore(join(folder, 'copy.sqlite'), restored)).problems).toEqual([]);
    const again = new SqliteStore(restored);
    const back = await allReadings(again, 'ridge');
    await again.close();
    expect(back.length).toBeGreaterThanOrEqual(8 * 120);
    expect(back).toEqual(expected.slice(0, back.length));
    expect(readdirSync(folder).filter((name) => name.includes('partial'))).toEqual([]);
  });

  it('never writes over a file', async () => {
    const copy = join(folder, 'copy.sqlite');
    await store.backup(copy);
    await expect(store.backup(copy)).rejects.toThrow(/copy\.sqlite: expected no file yet/);
    await expect(restoreStore(copy, path)).rejects.toThrow(/store\.sqlite: expected no file yet/);
  });

  it('does not bring back a damaged one', async () => {
    await fill(30);
    const copy = join(folder, 'copy.sqlite');
    await store.backup(copy);
    const db = new DatabaseSync(copy);
    db.exec(
      'UPDATE summary SET greatest = greatest + 1 WHERE hour = (SELECT min(hour) FROM summary)',
    );
    db.close();
    const to = join(folder, 'restored.sqlite');
    await expect(restoreStore(copy, to)).rejects.toThrow(/expected greatest .*, found/);
    expect(existsSync(to)).toBe(false);
  });
});

describe('check', () => {
  it('decodes every chunk', async () => {
    await fill(8);
    await store.seal('all');
    expect(await store.check()).toEqual({
      ...{ chunks: 16, readings: 8 * 120, snapshots: 0 },
      problems: [],
    });
  });

  const damages: [string, string, RegExp][] = [
    ['cut bytes', 'UPDATE chunk SET readings = substr(readings, 1, 30)', /stream 1, hour \d+: /],
    ['a lost chunk', 'DELETE FROM chunk WHERE times_of IS NOT NULL', /its chunk is missing/],
    ['a lost summary', 'DELETE FROM summary WHERE stream = 2', /its summary is missing/],
    ['a wrong sum', 'UPDATE summary SET sum = sum + 1', /expected sum [\d.e+-]+, found/],
    [
      'a lost fresh reading',
      'DELETE FROM fresh WHERE id = (SELECT max(id) FROM fresh)',
      /accepted/,
    ],
    ['a shifted fresh reading', 'UPDATE fresh SET hour = hour + 1', /of another hour/],
    ['numbers twice', 'INSERT INTO seen VALUES (1, 1, 2, 3, 0)', /numbers from 0 on stand twice/],
  ];
  for (const [name, sql, problem] of damages)
    it(`finds ${name}`, async () => {
      await fill(4);
      const db = new DatabaseSync(path);
      db.exec(sql);
      db.close();
      expect((await store.check()).problems.join('\n')).toMatch(problem);
    });
});

describe('dropping raw readings', () => {
  it('keeps the summaries, and refuses what comes of that time', async () => {
    await fill(10);
    const cuts = [0, 4.21, 7, 9.3].map((hours) => T0 + hours * HOUR_S);
    for (const beforeS of cuts)
      await store.keepSnapshot({ wellId: 'ridge', beforeS, madeBy: 'v1', state: 'any' });
    const kept = async () => Promise.all(cuts.map((at) => store.keptBefore('ridge', at)));
    const keptBefore = await kept();
    const span = { fromS: T0, toS: T0 + 10 * HOUR_S, count: 5 };
    const before = await store.buckets('ridge', 'pressure', span);
    const upToS = await store.dropRawBefore('ridge', T0 + 9.5 * HOUR_S);
    expect(upToS).toBe(T0 + 9 * HOUR_S);
    const left = await allReadings(store, 'ridge');
    expect(left.length).toBe(120);
    expect(left[0]![0]).toBe(upToS);
    expect(await store.buckets('ridge', 'pressure', span)).toEqual(before);
    expect(await kept()).toEqual(keptBefore);
    expect(keptBefore[1]).toBeGreaterThan(0);
    const late = packOf([
      [T0, 0, 1],
      [upToS + 1, 0, 2],
    ]);
    expect(await store.keep([late])).toEqual([{ accepted: 1, duplicate: 0, earliestS: upToS + 1 }]);
    expect((await store.counters('ridge')).refused).toEqual({ late: 1 });
    expect((await store.check()).problems).toEqual([]);
  });
});

describe('raw readings older than so many days', () => {
  const DAY_S = 24 * HOUR_S;

  it('are counted by days that have some, sealed or not, and counted once', async () => {
    for (const day of [0, 1, 5, 6]) await fill(3, T0 + day * DAY_S);
    expect(await store.oldRaw('ridge', 4)).toEqual({ beforeS: NaN, readings: 0 });
    const old = { beforeS: T0 + DAY_S, readings: 3 * 120 };
    expect(await store.oldRaw('ridge', 3)).toEqual(old);
    await store.seal('all');
    expect(await store.oldRaw('ridge', 3)).toEqual(old);
    await store.dropRawBefore('ridge', old.beforeS);
    expect(await store.oldRaw('ridge', 3)).toEqual({ ...old, readings: 0 });
    expect(await store.oldRaw('ridge', 1)).toEqual({ beforeS: T0 + 6 * DAY_S, readings: 720 });
    expect(await store.oldRaw('none', 1)).toEqual({ beforeS: NaN, readings: 0 });
    const [kept] = await store.wells();
    expect(kept).toMatchObject({ firstS: T0, readings: 4 * 360, rawFromS: T0 + DAY_S });
  });

  it('lose one day, not all, to a reading of a clock that is years ahead', async () => {
    for (const day of [0, 1, 2]) await fill(1, T0 + day * DAY_S);
    await store.keep([packOf([[T0 + 4000 * DAY_S, 0, 1]])]);
    expect((await store.oldRaw('ridge', 3)).beforeS).toBe(T0 + DAY_S);
  });
});

describe('versions of the file', () => {
  it('a newer file, another database and no database are refused and left alone', async () => {
    await store.close();
    const db = new DatabaseSync(path);
    db.exec(`PRAGMA user_version = ${STEPS.length + 1}`);
    db.close();
    expect(() => new SqliteStore(path)).toThrow(
      /store\.sqlite: .*found version 3, made by a newer/,
    );
    const other = join(folder, 'other.sqlite');
    const foreign = new DatabaseSync(other);
    foreign.exec('CREATE TABLE a (b)');
    foreign.close();
    expect(() => new SqliteStore(other)).toThrow(/found a database of something else/);
    const text = join(folder, 'text.sqlite');
    writeFileSync(text, 'time,pressure [psi]\n'.repeat(100));
    expect(() => new SqliteStore(text)).toThrow(/found a file of something else/);
    expect(() => new SqliteStore(join(folder, 'none'), { readOnly: true })).toThrow(/no file/);
    expect(readdirSync(folder).toSorted()).toEqual(['other.sqlite', 'store.sqlite', 'text.sqlite']);
  });

  it('steps lead from a version made by its own text to the next, or not at all', async () => {
    await fill(3);
    await store.close();
    const expected = await open(path, (one) => allReadings(one, 'ridge'));
    const next = [...STEPS, 'ALTER TABLE well ADD COLUMN note TEXT; UPDATE well SET note = name'];
    const broken = [...STEPS, 'ALTER TABLE well ADD COLUMN note TEXT; UPDATE no_such SET a = 1'];
    const copy = join(folder, 'copy.sqlite');
    copyFileSync(path, copy);
    expect(() => new SqliteStore(copy, { steps: broken })).toThrow(/no such table/);
    expect(versionIn(copy)).toBe(STEPS.length);
    expect(await open(copy, (one) => allReadings(one, 'ridge'))).toEqual(expected);
    const migrated = new SqliteStore(copy, { steps: next });
    expect(await allReadings(migrated, 'ridge')).toEqual(expected);
    expect((await migrated.check()).problems).toEqual([]);
    await migrated.close();
    expect(versionIn(copy)).toBe(STEPS.length + 1);
    expect(() => new SqliteStore(copy)).toThrow(/made by a newer program/);
  });

  it('version 1 is brought to the newest, every reading the same', async () => {
    await fill(5);
    // Times of their own, values on no grid, and places that are not plain.
    await store.keep([packOf([1, 0, 2, 1].map((channel, i) => [T0 + 1, channel, Math.sqrt(i)]))]);
    await store.seal('all');
    await store.close();
    const expected = await open(path, (one) => allReadings(one, 'ridge'));
    backToVersion1(path);
    expect(() => new SqliteStore(path, { readOnly: true })).toThrow(/version 2, found version 1/);
    expect(versionIn(path)).toBe(1);
    const backup = join(folder, 'copy.sqlite');
    copyFileSync(path, backup);
    expect(await open(path, (one) => allReadings(one, 'ridge'))).toEqual(expected);
    expect(versionIn(path)).toBe(2);
    const restored = join(folder, 'restored.sqlite');
    expect((await restoreStore(backup, restored)).problems).toEqual([]);
    expect(await open(restored, (one) => allReadings(one, 'ridge'))).toEqual(expected);
    expect(versionIn(backup)).toBe(1);
  });

  it('a damaged chunk of version 1 is found by the check, all others come along', async () => {
    await fill(5);
    await store.seal('all');
    await store.close();
    backToVersion1(path);
    damageLastHour();
    const { chunks, problems } = await open(path, (one) => one.check());
    const hour = (T0 + 4 * HOUR_S) / HOUR_S;
    expect(problems.map((one) => one.split(': chunk: its bytes')[0])).toEqual([
      `stream 2, hour ${hour}`,
    ]);
    expect(chunks).toBe(9);
    expect(versionIn(path)).toBe(2);
  });

  it('the header names the store', () => {
    expect(APPLICATION_ID).toBe(Buffer.from('Well').readUInt32BE());
  });

  async function open<T>(file: string, use: (one: SqliteStore) => Promise<T>): Promise<T> {
    const one = new SqliteStore(file);
    try {
      return await use(one);
    } finally {
      await one.close();
    }
  }

  function versionIn(file: string): unknown {
    const db = new DatabaseSync(file);
    const { user_version } = db.prepare('PRAGMA user_version').get()!;
    db.close();
    return user_version;
  }
});

describe('export', () => {
  const forms = [
    { name: 'CSV', write: exportCsv },
    { name: 'SenML', write: exportSenml },
  ];
  for (const { name, write } of forms)
    it(`as ${name} is read back as a log to the same readings`, async () => {
      await fill(4);
      // Two devices at one instant, out of order, and values of every sort.
      await store.keep([
        packOf([
          [T0 + 0.1, 1, 1 / 3],
          [T0 + 0.1, 0, 5e-324],
          [T0 + 0.1, 7, 273.15 + 0.1],
        ]),
        packOf(
          [
            [T0 + 0.1, 1, 2 / 3],
            [T0 + 7, 6, 1e-4],
            [T0 + 7, 8, 4095],
          ],
          { device: 'b' },
        ),
      ]);
      const span: [number, number] = [T0, T0 + 3 * HOUR_S];
      const log = join(folder, 'log');
      let text = '';
      const [fromS, toS] = span;
      for await (const piece of write(store, { wellId: 'ridge', fromS, toS })) text += piece;
      writeFileSync(log, text);
      const back: [number, number, number][] = [];
      const options = { columns: {}, timeZone: 'UTC', atmospherePa: 101_325 };
      const report = await readLogs([log], options, ({ count, timeS, channel, value }) => {
        for (let i = 0; i < count; i++) back.push([timeS[i]!, channel[i]!, value[i]!]);
      });
      expect(report.setAside).toEqual([]);
      expect(back).toHaveLength(3 * 120 + 6);
      expect(back).toEqual(await allReadings(store, 'ridge', span));
    });

  it('says what a form cannot hold', async () => {
    await store.keep([
      packOf([
        [1000, 0, 1],
        [2e10, 0, 1],
      ]),
    ]);
    const all = { wellId: 'ridge', fromS: 0, toS: 1e11 };
    // Told before the first piece: an answer that has begun cannot be taken back.
    const first = (pieces: AsyncIterable<string>) => pieces[Symbol.asyncIterator]().next();
    await expect(first(exportCsv(store, all))).rejects.toThrow(RangeError);
    await expect(first(exportSenml(store, all))).rejects.toThrow(/1000 s .* use CSV/);
    await expect(drain(exportCsv(store, { ...all, toS: 2000 }))).resolves.toBeUndefined();
  });

  async function drain(pieces: AsyncIterable<string>): Promise<void> {
    for await (const piece of pieces) expect(piece).toBeTypeOf('string');
  }
});
