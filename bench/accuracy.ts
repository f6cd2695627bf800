/**
 * How near `study` comes to the truth.
 *
 *   node bench/accuracy.ts                       rehearsed wells: 12 systems, healthy and sick
 *   node bench/accuracy.ts --quick               three systems only
 *   node bench/accuracy.ts --folder <dir>        <name>.csv.gz, .well.toml, .truth.json
 *   node bench/accuracy.ts --household <csv.gz>  real household demand through a tank model
 *
 * Nothing was tuned on the seeds below; the wells the estimator was built against have seeds 1 to
 * 7. Each line: median and 95th percentile of the error of daily use, its bias, the share of days
 * whose 95 % interval holds the truth, runs true, missed and invented, and the error of starts.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { gunzipSync } from 'node:zlib';
import { readLogs } from '../src/ingest/file/read-logs.ts';
import type { Study } from '../src/model/study.ts';
import type { Well } from '../src/model/well.ts';
import { atmosphericPressurePa } from '../src/physics/air/atmospheric-pressure.ts';
import { Pipeline } from '../src/pipeline/pipeline.ts';
import { studyOf } from '../src/pipeline/result.ts';
import { buildSystem } from '../src/simulation/build-system.ts';
import type { RehearsedFault } from '../src/simulation/faults/faults.ts';
import { rehearse } from '../src/simulation/rehearse.ts';
import { NO_TROUBLES, USUAL_TROUBLES } from '../src/simulation/sensing/delivery.ts';
import { usualReporting } from '../src/simulation/sensing/reporting.ts';
import { wellFileText } from '../src/simulation/well-file-text.ts';
import { parseWellFile } from '../src/wellfile/parse.ts';
import { type Comparison, compare, HEADING, line, type Truth } from './support/compare.ts';
import { readDemand, runHousehold } from './support/household.ts';

const PSI_PA = 6894.757293168;
const SYSTEMS = [...'ABCDEFGHIJKL'];
const SEED = 101;
const DAYS = 14;
const ONSET_DAY = 6;
const SICK: RehearsedFault[] = [
  'check-valve-leak',
  'leak-house',
  'tank-waterlogged',
  'pump-worn',
  'level-falling-in-run',
  'running-dry',
  'switch-chatter',
  'current-clamp-off',
];

const { values } = parseArgs({
  options: {
    folder: { type: 'string' },
    household: { type: 'string' },
    quick: { type: 'boolean', default: false },
  },
});

function wellOf(toml: string): Well {
  const parsed = parseWellFile(toml);
  if (!parsed.ok) throw new Error(`well file: ${JSON.stringify(parsed.issues)}`);
  return parsed.well;
}

const withoutBucket = (toml: string): string => toml.replace(/\[\[bucket_test\]\][^[]*/g, '');

/** Readings gathered as a log would hold them, two decimals, for as many studies as needed. */
class Gathered {
  readonly timeS: number[] = [];
  readonly channel: number[] = [];
  readonly value: number[] = [];

  add(timeS: number, channel: number, value: number): void {
    this.timeS.push(Math.round(timeS * 10) / 10);
    this.channel.push(channel);
    this.value.push(channel === 0 ? (Math.round(value * 100) / 100) * PSI_PA : value);
  }

  study(toml: string): Study {
    const pipeline = new Pipeline(wellOf(toml));
    pipeline.take({
      count: this.timeS.length,
      timeS: Float64Array.from(this.timeS),
      channel: Uint8Array.from(this.channel),
      value: Float64Array.from(this.value),
    });
    pipeline.end();
    return studyOf(pipeline, { setAside: [], told: [] });
  }
}

interface Asked {
  letter: string;
  fault: RehearsedFault | null;
  restS: number;
  policy: 'fast-while-running' | 'fixed' | 'on-change';
  messy: boolean;
}

function rehearsed(asked: Asked): { log: Gathered; toml: string; truth: Truth } {
  const system = buildSystem(asked.letter, SEED);
  const reporting = usualReporting(asked.policy, asked.restS);
  const rehearsal = rehearse({
    system,
    startS: Date.parse('2026-04-06T00:00:00Z') / 1000,
    timeZone: 'UTC',
    troubles: asked.messy ? USUAL_TROUBLES : NO_TROUBLES,
    sensing: {},
    days: DAYS,
    seed: SEED,
    faults: asked.fault === null ? [] : [{ name: asked.fault, onsetDay: ONSET_DAY, severity: 1 }],
    reporting,
    bucketDays: [2],
  });
  const log = new Gathered();
  rehearsal.run((row) => {
    if (row.pressurePaGauge !== null) log.add(row.timeS, 0, row.pressurePaGauge / PSI_PA);
    if (row.currentA !== null) log.add(row.timeS, 1, Math.round(row.currentA * 100) / 100);
  });
  const toml = wellFileText({
    name: `Case ${asked.letter}`,
    system,
    seed: SEED,
    timeZone: 'UTC',
    buckets: rehearsal.buckets(),
    services: [],
    reporting,
  });
  return { log, toml, truth: rehearsal.truth() };
}

function onRehearsed(): void {
  const systems = values.quick ? ['B', 'D', 'K'] : SYSTEMS;
  const base = { fault: null, restS: 5, policy: 'fast-while-running', messy: false } as const;
  const ways: [string, Omit<Asked, 'letter'>][] = [
    ['healthy, 1 s at rest', { ...base, restS: 1 }],
    ['healthy, 5 s at rest', base],
    ['healthy, 15 s at rest', { ...base, restS: 15 }],
    ['healthy, fixed 5 s', { ...base, policy: 'fixed' }],
    ['healthy, on change', { ...base, policy: 'on-change' }],
    ['healthy, 5 s, messy log', { ...base, messy: true }],
    ...SICK.map((fault): [string, Omit<Asked, 'letter'>] => [fault, { ...base, fault }]),
  ];
  for (const [name, way] of ways) {
    const tested: Comparison[] = [];
    const untested: Comparison[] = [];
    for (const letter of systems) {
      const { log, toml, truth } = rehearsed({ letter, ...way });
      const near = way.restS + 1;
      const one = compare(log.study(toml), truth, near);
      tested.push(one);
      if (name === 'healthy, 5 s at rest') {
        untested.push(compare(log.study(withoutBucket(toml)), truth, near));
        console.log(line(`  ${letter}`, [one]));
      }
    }
    console.log(line(name, tested));
    if (untested.length > 0) console.log(line('  the same without the bucket test', untested));
  }
}

async function onFolder(folder: string): Promise<void> {
  const names = readdirSync(folder).filter((file) => file.endsWith('.truth.json'));
  for (const name of names.map((file) => file.replace('.truth.json', ''))) {
    const at = (ending: string): string => join(folder, `${name}.${ending}`);
    const truth = JSON.parse(readFileSync(at('truth.json'), 'utf8')) as Truth;
    const toml = readFileSync(at('well.toml'), 'utf8');
    const tested = await studyFile(wellOf(toml), at('csv.gz'));
    console.log(line(name, [compare(tested, truth, 6)]));
    const untested = await studyFile(wellOf(withoutBucket(toml)), at('csv.gz'));
    console.log(line('  without the bucket test', [compare(untested, truth, 6)]));
  }
}

async function studyFile(well: Well, path: string): Promise<Study> {
  const pipeline = new Pipeline(well);
  const atmospherePa = atmosphericPressurePa(well.altitudeM.value);
  const options = { timeZone: well.timeZone, atmospherePa, columns: {} };
  const report = await readLogs([path], options, (batch) => pipeline.take(batch));
  pipeline.end();
  return studyOf(pipeline, report);
}

function onHousehold(path: string): void {
  const demand = readDemand(gunzipSync(readFileSync(path)).toString('utf8'));
  const firstS = Math.ceil(Math.min(...demand.keys()) / 86_400) * 86_400;
  for (const restS of [1, 5, 15]) {
    const log = new Gathered();
    const made = runHousehold({ demand, startS: firstS, days: 56, restS }, (reading) => {
      log.add(reading.timeS, 0, reading.pressurePsi);
      log.add(reading.timeS, 1, Math.round(reading.currentA * 100) / 100);
    });
    const name = `real demand, ${restS} s at rest`;
    console.log(line(name, [compare(log.study(made.wellToml), made.truth, restS + 1)]));
    const bare = withoutBucket(made.wellToml);
    console.log(
      line('  without the bucket test', [compare(log.study(bare), made.truth, restS + 1)]),
    );
  }
}

console.log(HEADING);
if (values.folder !== undefined) await onFolder(values.folder);
else if (values.household === undefined) onRehearsed();
else if (existsSync(values.household)) onHousehold(values.household);
else throw new Error(`--household: expected a file, found none at ${values.household}`);
