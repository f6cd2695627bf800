import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { store } from '../../src/cli/commands/store.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { packOf } from '../contract/reading-store.contract.ts';
import { joined } from './joined.ts';

const T0 = 1_775_433_600;
const HOURS = 60;
const PAGE_BYTES = 8192;

let folder: string;
let path: string;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'wellwright-damaged-'));
  path = join(folder, 'wellwright.sqlite');
  const live = new SqliteStore(path);
  for (let hour = 0; hour < HOURS; hour++)
    await live.keep([
      packOf(
        Array.from({ length: 300 }, (_, i) => {
          const timeS = T0 + 3600 * hour + 12 * i;
          return [timeS, 0, 3e5 + 1e5 * Math.sin(timeS)] as [number, number, number];
        }),
      ),
    ]);
  await live.seal('all');
  await live.close();
});
afterEach(() => {
  vi.restoreAllMocks();
  rmSync(folder, { recursive: true });
});

/** Clears the page that holds what a row of a table has, as a failing disk may. */
function clearPageOf(sql: string): void {
  const db = new DatabaseSync(path);
  const bytes = Buffer.from(Object.values(db.prepare(sql).get()!)[0] as Uint8Array);
  db.close();
  const file = readFileSync(path);
  const at = file.indexOf(bytes.subarray(0, 60));
  expect(at).toBeGreaterThan(PAGE_BYTES);
  const page = Math.floor(at / PAGE_BYTES) * PAGE_BYTES;
  writeFileSync(path, file.fill(0, page, page + PAGE_BYTES));
}
const ofHour = (hour: number) =>
  `SELECT readings FROM chunk WHERE id >= ${(T0 / 3600 + hour) * 1_048_576} ORDER BY id`;

async function run(args: string[]) {
  const [out, err] = [process.stdout, process.stderr].map((stream) =>
    vi.spyOn(stream, 'write').mockImplementation(() => true),
  );
  const code = await store(args);
  const [said, wrong] = [out!, err!].map(({ mock }) => mock.calls.flat().join(''));
  vi.restoreAllMocks();
  return { code, said: said!, wrong: wrong! };
}

describe('a store with a page that the disk has lost', () => {
  it('is checked to its end: what cannot be read is told, and the exit code says so', async () => {
    clearPageOf(ofHour(20));
    const { code, wrong, said } = await run(['check', path]);
    expect(code).toBe(1);
    expect(wrong).toMatch(/stream 1, hour \d+: the store is damaged: database disk image is mal/);
    expect(Number(/(\d+) sealed hours/.exec(said)![1])).toBeGreaterThan(30);
    expect(said).not.toContain('nothing is wrong');
  });

  it('is exported but for those hours, which are named', async () => {
    clearPageOf(ofHour(20));
    const to = join(folder, 'log.csv');
    const { code, wrong } = await run(['export', path, '--well', 'ridge', '--out', to]);
    expect(code).toBe(1);
    const rows = readFileSync(to, 'utf8').trimEnd().split('\n').slice(1);
    const lost = wrong.trimEnd().split('\n');
    expect(lost.length).toBeGreaterThan(0);
    expect(rows).toHaveLength(300 * (HOURS - lost.length));
    expect(wrong).toContain(
      'not exported: the store is damaged: well ridge, hour 2026-04-06T20:00:00.000Z: ',
    );
    expect(rows.some((row) => row.startsWith(`${T0 + 20 * 3600},`))).toBe(false);
  });

  it('is told by the service as a problem with its code, before any of the log', async () => {
    clearPageOf(ofHour(20));
    const on = await joined(['name = "Ridge"\n'], { store: path });
    try {
      for (const form of ['csv', 'senml']) {
        const { status, type, body } = await on.get(`wells/ridge/log.${form}`);
        expect(`${status} ${type}`).toMatch(/^500 application\/problem\+json/);
        expect(body).toMatchObject({
          code: 'store-damaged',
          detail: expect.stringContaining('well ridge, hour 2026-04-0'),
        });
      }
      const span = 'from=2026-04-08T10:00:00Z&to=2026-04-08T11:00:00Z';
      const { status, body } = await on.get(`wells/ridge/log.csv?${span}`);
      expect(status).toBe(200);
      expect(body.trimEnd().split('\n')).toHaveLength(301);
      expect((await on.post('ridge', '[{"n":"pressure","u":"Pa","v":3e5}]')).status).toBe(200);
    } finally {
      await on.close();
    }
  });
});
