import { describe, expect, it } from 'vitest';
import { generator } from '../../bench/support/random.ts';
import { killService } from './killed-service.ts';

describe('the service killed while a device sends, a backup runs, an old store is upgraded', () => {
  it('loses and doubles nothing, and gives the study of never having stopped', async () => {
    // Enough that the moments differ; scripts/kill-service.ts does 200.
    const asked = { kills: 4, days: 1, packsPerS: 2500, mostMs: 1500 };
    const after = await killService({ ...asked, random: generator(7) });
    expect(after.packs).toBeGreaterThan(2000);
    expect(after).toMatchObject({ lost: 0, doubled: 0, wrongCopies: [] });
    expect(after.counts.inBackup + after.copies).toBeGreaterThan(0);
    expect({ ...after.live, told: [] }).toEqual(
      JSON.parse(JSON.stringify({ ...after.replayed, told: [] })),
    );
    expect(after.live.runs.length).toBeGreaterThan(0);
  }, 60_000);
});
