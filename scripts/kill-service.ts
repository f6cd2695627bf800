/**
 * Kills the whole service, over and over, at random moments while a rehearsed device sends over
 * MQTT: a third of them while it starts or takes readings, a third while a backup is made of its
 * store, a third while it brings a store of version 1 to the newest. Looks at each copy, and at the
 * end whether anything is lost, doubled or analysed otherwise:
 *
 *   node scripts/kill-service.ts [--kills 200] [--seed 1]
 */
import { isDeepStrictEqual, parseArgs } from 'node:util';
import { generator } from '../bench/support/random.ts';
import { killService } from '../test/watch/killed-service.ts';

const DAYS = 7;
const MOST_MS = 3000;
/** What a kill leaves of time in which the device is heard, over all kills. */
const HEARD_S = 0.4;
const PACKS_A_DAY = 10_000;

const { values } = parseArgs({
  options: { kills: { type: 'string', default: '200' }, seed: { type: 'string', default: '1' } },
});
const kills = Number(values.kills);
const packsPerS = (DAYS * PACKS_A_DAY) / Math.max(kills * HEARD_S, 20);
const random = generator(Number(values.seed));
const after = await killService({ kills, days: DAYS, packsPerS, random, mostMs: MOST_MS });
const plain = (study: object) => JSON.parse(JSON.stringify({ ...study, told: [] }));
const same = isDeepStrictEqual(plain(after.live), plain(after.replayed));
const { beforeUp, inBackup, inMigration } = after.counts;
console.log(
  `${kills} kills: ${inBackup} while a backup ran, ` +
    `${inMigration} before a migration was through, ` +
    `${beforeUp} in all before the service was up`,
);
console.log(
  `${after.packs} packs acknowledged, ${after.sentAgain} sent again; ` +
    `lost ${after.lost}, doubled ${after.doubled}; ` +
    `${after.copies} copies were there, ${after.wrongCopies.length} of them wrong; ` +
    `the study ${same ? 'equals' : 'differs from'} that of the log ` +
    `(${after.live.runs.length} runs, ${after.live.draws.length} draws)`,
);
for (const wrong of after.wrongCopies) console.log(wrong);
if (after.lost + after.doubled + after.wrongCopies.length > 0 || !same) process.exitCode = 1;
