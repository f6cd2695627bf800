import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { packOf } from '../../../test/contract/reading-store.contract.ts';
import { allReadings } from '../../../test/store/all-readings.ts';
import { Database } from './database.ts';
import { deviceNamed, wellNamed } from './names.ts';
import { isNewPack } from './seen.ts';
import { SqliteStore } from './store.ts';

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'wellwright-seen-'));
  path = join(folder, 'store.sqlite');
});
afterEach(() => rmSync(folder, { recursive: true }));

const stretches = (db: Database) => Number(db.get('SELECT count(*) AS n FROM seen')!.n);

describe('numbers that a device has used', () => {
  it('are known whatever order they come in, in as few stretches as there are gaps', () => {
    const db = new Database(path);
    const numbers = fc.array(fc.integer({ min: 0, max: 30 }), { maxLength: 60 });
    let run = 0;
    fc.assert(
      fc.property(numbers, (list) => {
        const known = new Set<number>();
        db.write(() => {
          const well = wellNamed(db, `${run++}`);
          const device = deviceNamed(db, well.id, '');
          db.run('DELETE FROM seen');
          for (const seq of list) {
            const isNew = isNewPack(db, device, { boot: 1, seq, arrivedS: 0 });
            expect(isNew).toBe(!known.has(seq));
            known.add(seq);
          }
        });
        const starts = [...known].filter((seq) => !known.has(seq - 1));
        expect(stretches(db)).toBe(starts.length);
      }),
    );
    db.close();
  });

  it('take bounded room, and a forgotten pack is still no new one', async () => {
    const store = new SqliteStore(path);
    const pack = (n: number) =>
      packOf([[1_775_433_600 + n, 0, n]], { boot: 1, seq: 2 * n, arrivedS: n });
    const all = Array.from({ length: 6000 }, (_, n) => pack(n));
    await store.keep(all);
    const db = new Database(path, { readOnly: true });
    expect(stretches(db)).toBeLessThanOrEqual(4096);
    db.close();
    const again = await store.keep([pack(0), pack(10), pack(5999), pack(6000)]);
    expect(again.map(({ accepted }) => accepted)).toEqual([0, 0, 0, 1]);
    expect(await allReadings(store, 'ridge')).toHaveLength(6001);
    expect((await store.check()).problems).toEqual([]);
    await store.close();
  });
});
