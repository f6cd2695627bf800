/**
 * Kills the whole service, over and over, at random moments while a rehearsed device sends over
 * MQTT, and looks at the end whether anything is lost, doubled or analysed otherwise:
 *
 *   node scripts/kill-service.ts [--kills 200] [--seed 1]
 */
import { isDeepStrictEqual, parseArgs } from 'node:util';
import { generator } from '../bench/support/random.ts';
import { killService } from '../test/watch/killed-service.ts';

const DAYS = 7;
const MOST_MS = 3000;
/** Of the time of a start that goes by before the device is heard. */
const STARTS_MS = 1000;
const PACKS_A_DAY = 10_000;

const { values } = parseArgs({
  options: { kills: { type: 'string', default: '200' }, seed: { type: 'string', default: '1' } },
});
const kills = Number(values.kills);
const upS = (kills * (MOST_MS / 2 - STARTS_MS)) / 1000;
const packsPerS = (DAYS * PACKS_A_DAY) / Math.max(upS, 20);
const random = generator(Number(values.seed));
const after = await killService({ kills, days: DAYS, packsPerS, random, mostMs: MOST_MS });
const plain = (study: object) => JSON.parse(JSON.stringify({ ...study, told: [] }));
const same = isDeepStrictEqual(plain(after.live), plain(after.replayed));
console.log(
  `${kills} kills, ${after.beforeUp} of them before the service was up; ` +
    `${after.packs} packs acknowledged, ${after.sentAgain} sent again; ` +
    `lost ${after.lost}, doubled ${after.doubled}; ` +
    `the study ${same ? 'equals' : 'differs from'} that of the log ` +
    `(${after.live.runs.length} runs, ${after.live.draws.length} draws)`,
);
if (after.lost + after.doubled > 0 || !same) process.exitCode = 1;
