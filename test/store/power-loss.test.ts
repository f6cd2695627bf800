import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, type TestContext } from 'vitest';
import { generator } from '../../bench/support/random.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { allReadings } from './all-readings.ts';
import { packNumber } from './keeper.ts';
import { canTrace, LossyDisk, type Step, traced } from './traced-writes.ts';

const PACKS = 40;
const CUTS = 60;

/** Runs the keeper under a trace in a folder of its own. */
async function withTrace(
  { skip }: TestContext,
  use: (steps: Step[], folder: string) => Promise<void>,
): Promise<void> {
  if (!canTrace()) skip('expected strace to see system calls with, found none');
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-power-'));
  try {
    const keeper = join(import.meta.dirname, 'keeper.ts');
    const args = [join(folder, 'store.sqlite'), '0', String(PACKS), 'keep'];
    await use(traced(keeper, args, folder), folder);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

describe('a store whose machine loses power', () => {
  it('syncs what a pack wrote before it is acknowledged, by the trace', (context) =>
    withTrace(context, async (steps) => {
      const unsynced = new Set<string>();
      let [told, synced, wroteSince] = [0, 0, false];
      for (const step of steps) {
        if (step.kind === 'write' && !step.file.endsWith('-shm')) {
          unsynced.add(step.file);
          wroteSince = true;
        } else if (step.kind === 'sync') {
          synced++;
          unsynced.delete(step.file);
        } else if (step.kind === 'unlink') unsynced.delete(step.file);
        else if (step.kind === 'told') {
          told++;
          expect(wroteSince, `pack ${step.text.trim()} was written`).toBe(true);
          // Sealed chunks may wait in the log of the database: their readings are in it twice.
          expect([...unsynced], `before pack ${step.text.trim()} was acknowledged`).toEqual([]);
          wroteSince = false;
        }
      }
      expect(told).toBe(PACKS);
      expect(synced).toBeGreaterThanOrEqual(PACKS);
    }));

  it('has all that was acknowledged when unsynced writes are dropped or torn', (context) =>
    withTrace(context, async (steps, folder) => {
      const random = generator(8);
      let cutShort = 0;
      for (let cut = 0; cut < CUTS; cut++) {
        const until = Math.floor(random() * steps.length);
        const disk = new LossyDisk();
        let acknowledged = 0;
        for (const step of steps.slice(0, until)) {
          disk.take(step);
          if (step.kind === 'told') acknowledged = Number(step.text) + 1;
        }
        const left = join(folder, `cut-${cut}`);
        disk.leave(left, random);
        const store = new SqliteStore(join(left, 'store.sqlite'));
        const found = new Set((await allReadings(store, 'ridge')).map(String));
        const { problems } = await store.check();
        await store.close();
        expect(problems, `cut at step ${until}`).toEqual([]);
        for (let n = 0; n < acknowledged; n++) {
          const { count, timeS, channel, value } = packNumber(n).readings;
          for (let i = 0; i < count; i++)
            expect(found.has(String([timeS[i], channel[i], value[i]])), `pack ${n}`).toBe(true);
        }
        if (acknowledged < PACKS) cutShort++;
      }
      expect(cutShort).toBeGreaterThan(CUTS / 2);
    }));
});
