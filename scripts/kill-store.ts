/**
 * Kills a process that keeps readings, over and over, at random moments while it takes readings,
 * seals, copies and migrates, and looks after each what is there:
 *
 *   node scripts/kill-store.ts [--kills 200] [--seed 1]
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { generator } from '../bench/support/random.ts';
import { KilledStore, MODES } from '../test/store/kill.ts';

const MOST_MS = 250;
const MIGRATING_MS = 100;
/** All of a store is looked at after each kill: a new one now and then keeps that short. */
const KILLS_A_STORE = 40;
/** The first ones fill it, so that there is something to migrate. */
const FILLING = 10;

const { values } = parseArgs({
  options: { kills: { type: 'string', default: '200' }, seed: { type: 'string', default: '1' } },
});
const kills = Number(values.kills);
const random = generator(Number(values.seed));
const sums = { acknowledged: 0, lost: 0, doubled: 0, problems: 0, cutMigrations: 0 };
const by = { keep: 0, backup: 0, migrate: 0 };
for (let done = 0; done < kills; ) {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-kill-'));
  try {
    const store = new KilledStore(folder);
    const here = Math.min(KILLS_A_STORE, kills - done);
    let acknowledged = 0;
    for (let i = 0; i < here; i++, done++) {
      const mode = MODES[Math.floor(random() * (i < FILLING ? 2 : 3))]!;
      const within = mode === 'migrate' ? MIGRATING_MS : MOST_MS;
      const after = await store.killAfter(random() * within, mode);
      by[mode]++;
      acknowledged = after.acknowledged;
      if (mode === 'migrate' && !after.migrated) sums.cutMigrations++;
      sums.lost += after.lost;
      sums.doubled += after.doubled;
      sums.problems += after.problems.length;
      for (const problem of after.problems) console.log(`kill ${done}, ${mode}: ${problem}`);
    }
    sums.acknowledged += acknowledged;
  } finally {
    rmSync(folder, { recursive: true });
  }
}
console.log(
  `${kills} kills: ${by.keep} keeping and sealing, ${by.backup} with a backup, ` +
    `${by.migrate} migrating (${sums.cutMigrations} before it was through)`,
);
console.log(
  `${sums.acknowledged} packs acknowledged; readings lost ${sums.lost}, ` +
    `doubled ${sums.doubled}; problems of the check ${sums.problems}`,
);
if (sums.lost + sums.doubled + sums.problems > 0) process.exitCode = 1;
