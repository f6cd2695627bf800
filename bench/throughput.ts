/**
 * How fast a log becomes a study, and how much memory that takes, beside the same log read and
 * cut into runs at a fixed threshold by general tools. docs/speed.md says what the figures mean.
 *
 *   node bench/throughput.ts [--days 30] [--year] [--rounds 3] [--python] [--json]
 *
 * All read the same file, plain and gzipped, one after the other on one core, in turns. Build
 * first (npm start): what runs is what a user runs.
 */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import type { Study } from '../src/model/study.ts';
import { type Measured, measure, median, missingTools } from './support/measured.ts';
import { writePlainLog } from './support/plain-log.ts';

const { values } = parseArgs({
  options: {
    days: { type: 'string', default: '30' },
    year: { type: 'boolean', default: false },
    rounds: { type: 'string', default: '3' },
    python: { type: 'boolean', default: false },
    json: { type: 'boolean', default: false },
  },
});
const days = values.year ? 365 : Number(values.days);
const rounds = Number(values.rounds);
if (!(days >= 1 && rounds >= 1)) throw new Error('--days and --rounds: expected 1 or more');
const missing = missingTools();
if (missing.length > 0) throw new Error(`expected ${missing.join(' and ')}, found none`);
const entry = join(import.meta.dirname, '..', 'dist', 'cli', 'main.js');
if (!existsSync(entry)) throw new Error('expected dist/cli/main.js: run npm start once, it builds');

const WELL = 'name = "Bench"\n[tank]\nvolume = "44 gal"\nprecharge = "38 psi"\n';
const AWK = join(import.meta.dirname, 'support', 'cut-runs.awk');
const PYTHON = join(import.meta.dirname, 'support', 'cut-runs.py');

interface Way {
  name: string;
  line: string;
  runsOf: (stdout: string) => number;
}

const lastLine = (stdout: string): number => Number(stdout.trim().split('\n').at(-1));

function waysFor(log: string, well: string): Way[] {
  const gz = log.endsWith('.gz');
  const study = `'${process.execPath}' '${entry}' study --json --well '${well}' '${log}'`;
  const awk = gz ? `gzip -dc '${log}' | awk -F, -f '${AWK}'` : `awk -F, -f '${AWK}' '${log}'`;
  const python = { name: 'python3 csv', line: `python3 '${PYTHON}' '${log}'`, runsOf: lastLine };
  return [
    {
      name: 'study',
      line: study,
      runsOf: (stdout) => (JSON.parse(stdout) as Study).runs.length,
    },
    { name: gz ? 'gzip -dc | awk' : 'awk', line: awk, runsOf: lastLine },
    ...(values.python ? [python] : []),
  ];
}

interface Figures {
  log: string;
  way: string;
  runs: number;
  wallS: number;
  cpuS: number;
  readingsPerS: number;
  peakMb: number;
  timesOfStudy: number;
}

async function race(log: string, readings: number, folder: string): Promise<Figures[]> {
  const ways = waysFor(log, join(folder, 'well.toml'));
  const taken = ways.map((): Measured[] => []);
  for (let round = 0; round < rounds; round++)
    for (const [i, way] of ways.entries()) taken[i]!.push(await measure(way.line, folder));
  const studyS = median(taken[0]!.map(({ wallS }) => wallS));
  return ways.map((way, i) => {
    const wallS = median(taken[i]!.map((one) => one.wallS));
    return {
      log: log.endsWith('.gz') ? 'gzipped' : 'plain',
      way: way.name,
      runs: way.runsOf(taken[i]![0]!.stdout),
      wallS,
      cpuS: median(taken[i]!.map((one) => one.cpuS)),
      readingsPerS: Math.round(readings / wallS),
      peakMb: Math.round(Math.max(...taken[i]!.map((one) => one.peakMb))),
      timesOfStudy: wallS / studyS,
    };
  });
}

function show(f: Figures): string {
  const cells = [
    f.log.padEnd(9),
    f.way.padEnd(16),
    `${f.runs} runs`.padStart(12),
    `${f.wallS.toFixed(1)} s`.padStart(10),
    `${f.cpuS.toFixed(1)} s cpu`.padStart(13),
    `${f.readingsPerS} readings/s`.padStart(22),
    `${f.peakMb} MB`.padStart(9),
    `${f.timesOfStudy.toFixed(2)} x`.padStart(9),
  ];
  return cells.join('');
}

const folder = mkdtempSync(join(tmpdir(), 'wellwright-bench-'));
try {
  const log = join(folder, 'log.csv');
  writeFileSync(join(folder, 'well.toml'), WELL);
  const rows = await writePlainLog(log, days);
  execFileSync('gzip', ['-k', '-6', log]);
  const size = (path: string): string => `${(statSync(path).size / 1e6).toFixed(0)} MB`;
  if (!values.json)
    console.log(
      `${days} days, ${rows} rows, ${2 * rows} readings, ` +
        `${size(log)}, gzipped ${size(`${log}.gz`)}; ${rounds} rounds`,
    );
  const figures = [
    ...(await race(log, 2 * rows, folder)),
    ...(await race(`${log}.gz`, 2 * rows, folder)),
  ];
  if (values.json) console.log(JSON.stringify({ days, rows, rounds, figures }));
  else for (const one of figures) console.log(show(one));
} finally {
  rmSync(folder, { recursive: true });
}
