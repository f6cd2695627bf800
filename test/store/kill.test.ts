import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { KilledStore, type Mode } from './kill.ts';

/** Enough that the moments differ; scripts/kill-store.ts does 200. */
const PLAN: Mode[] = [
  ...Array.from({ length: 10 }, (): Mode => 'keep'),
  ...Array.from({ length: 6 }, (): Mode => 'backup'),
  ...Array.from({ length: 4 }, (): Mode => 'migrate'),
];

describe('a store whose process is killed', () => {
  it('loses nothing acknowledged, doubles nothing, and is sound', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'wellwright-kill-'));
    try {
      const store = new KilledStore(folder);
      let acknowledged = 0;
      let cutMigrations = 0;
      for (const [i, mode] of PLAN.entries()) {
        const after = await store.killAfter((i * 37) % (mode === 'migrate' ? 45 : 120), mode);
        expect(after, `kill ${i}, ${mode}`).toMatchObject({ lost: 0, doubled: 0, problems: [] });
        acknowledged = after.acknowledged;
        if (mode === 'migrate' && !after.migrated) cutMigrations++;
      }
      expect(acknowledged).toBeGreaterThan(PLAN.length);
      expect(cutMigrations).toBeGreaterThan(0);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});
