/**
 * How near `study` comes to the truth. docs/accuracy.md says what the columns mean.
 *
 *   node bench/accuracy.ts --rehearsed [--quick]  rehearsed wells, healthy and sick (the default)
 *   node bench/accuracy.ts --only <words>         those of them with the words in their name
 *   node bench/accuracy.ts --seed-from <n>        with other plants and households: n to n + 11
 *   node bench/accuracy.ts --folder <dir>         <name>.csv.gz, .well.toml, .truth.json
 *   node bench/accuracy.ts --household <csv.gz>   real household demand through a tank model
 *
 * Each log is studied with its bucket test and without; `--json` writes all figures as one object.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { gunzipSync } from 'node:zlib';
import { studyLogs } from '../src/cli/commands/study.ts';
import type { Study } from '../src/model/study.ts';
import type { RehearsedFault } from '../src/simulation/faults/faults.ts';
import { type Comparison, compare, type Truth } from './support/compare.ts';
import { wellOf, withoutBucket } from './support/gathered-log.ts';
import { readDemand, runHousehold } from './support/household.ts';
import { rehearsedWell, type Way } from './support/rehearsed.ts';
import { type Figures, figuresOf, HEADING, line } from './support/table.ts';

/**
 * One true plant, household and noise for each system: `--seed-from`, and one more for each next.
 * The estimator was built against seeds 1 to 7; what 101, 211 to 222 and, in part, 331 to 342
 * showed led to changes. Should seeds be looked into to better the estimator, take fresh ones.
 */
const SYSTEMS = 'ABCDEFGHIJKL'.split('');
const QUICK = ['B', 'D', 'K'];
const REST_S = [1, 5, 15];
const FIXED_S = [5, 30, 60];
const SICK: RehearsedFault[] = [
  'check-valve-leak',
  'tank-waterlogged',
  'pump-worn',
  'running-dry',
  'current-clamp-off',
  'leak-house',
  'level-falling-in-run',
  'switch-chatter',
];
/** Intervals of the logs of `--folder`, which say nothing of it: those of the samples. */
const FOLDER_REST_S = 5;

const { values } = parseArgs({
  options: {
    rehearsed: { type: 'boolean', default: false },
    folder: { type: 'string' },
    household: { type: 'string' },
    only: { type: 'string', default: '' },
    'seed-from': { type: 'string', default: '331' },
    quick: { type: 'boolean', default: false },
    json: { type: 'boolean', default: false },
  },
});

const seedFrom = Number(values['seed-from']);
if (!Number.isInteger(seedFrom) || seedFrom < 1)
  throw new Error(`--seed-from: expected a whole number from 1 on, found ${values['seed-from']}`);

interface Told {
  log: string;
  bucketTest: boolean;
  figures: Figures;
}
const told: Told[] = [];

function tell(log: string, bucketTest: boolean, list: Comparison[]): void {
  const figures = figuresOf(list);
  told.push({ log, bucketTest, figures });
  if (!values.json) console.log(line(bucketTest ? log : `${log}, no bucket test`, figures));
}

function onRehearsed(): void {
  const sound = { fault: null, restS: 5, policy: 'fast-while-running', messy: false } as const;
  const at = (way: Omit<Way, 'restS'>, name: string): [string, Way][] =>
    REST_S.map((restS) => [`${name}, ${restS} s at rest`, { ...way, restS }]);
  const ways: [string, Way][] = [
    ...at(sound, 'healthy'),
    ...FIXED_S.map((restS): [string, Way] => [
      `healthy, fixed ${restS} s`,
      { ...sound, policy: 'fixed', restS },
    ]),
    ['healthy, on change', { ...sound, policy: 'on-change' }],
    ['healthy, messy log, 5 s at rest', { ...sound, messy: true }],
    ...SICK.flatMap((fault) => at({ ...sound, fault }, fault)),
  ];
  for (const [name, way] of ways.filter(([name]) => name.includes(values.only))) {
    const tested: Comparison[] = [];
    const untested: Comparison[] = [];
    for (const letter of values.quick ? QUICK : SYSTEMS) {
      const seed = seedFrom + SYSTEMS.indexOf(letter);
      const { log, toml, truth } = rehearsedWell(letter, seed, way);
      tested.push(compare(log.study(toml), truth, way.restS));
      untested.push(compare(log.study(withoutBucket(toml)), truth, way.restS));
      tell(`  ${letter} ${name}`, true, tested.slice(-1));
      tell(`  ${letter} ${name}`, false, untested.slice(-1));
    }
    tell(`ALL ${name}`, true, tested);
    tell(`ALL ${name}`, false, untested);
  }
}

async function onFolder(folder: string): Promise<void> {
  const ending = '.truth.json';
  const names = readdirSync(folder).filter((file) => file.endsWith(ending));
  if (names.length === 0) throw new Error(`--folder: expected <name>${ending}, found none`);
  for (const name of names.map((file) => file.slice(0, -ending.length)).sort()) {
    const truth = JSON.parse(readFileSync(join(folder, `${name}${ending}`), 'utf8')) as Truth;
    const toml = readFileSync(join(folder, `${name}.well.toml`), 'utf8');
    const study = (text: string): Promise<Study> =>
      studyLogs(wellOf(text), [join(folder, `${name}.csv.gz`)], { columns: {}, told: [] });
    tell(name, true, [compare(await study(toml), truth, FOLDER_REST_S)]);
    tell(name, false, [compare(await study(withoutBucket(toml)), truth, FOLDER_REST_S)]);
  }
}

function onHousehold(path: string): void {
  const demand = readDemand(gunzipSync(readFileSync(path)).toString('utf8'));
  for (const restS of REST_S) {
    const { log, toml, truth } = runHousehold({ demand, restS });
    const name = `real demand, ${restS} s at rest`;
    tell(name, true, [compare(log.study(toml), truth, restS)]);
    tell(name, false, [compare(log.study(withoutBucket(toml)), truth, restS)]);
  }
}

if (!values.json) console.log(HEADING);
if (values.folder !== undefined) await onFolder(values.folder);
else if (values.household !== undefined) onHousehold(values.household);
else onRehearsed();
if (values.json) console.log(JSON.stringify({ seedFrom, logs: told }));
