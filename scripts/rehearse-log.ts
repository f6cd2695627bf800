/**
 * Makes one log of a rehearsed well, with its well file and its truth:
 *   rehearse-log.ts --system B --fault pump-worn --onset-day 5 --severity 1 --days 14 --seed 3
 *     --rest 5 --policy fast-while-running --out DIR
 */
import { createWriteStream, mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { createGzip } from 'node:zlib';
import { buildSystem } from '../src/simulation/build-system.ts';
import { DAY_S, PSI_PA } from '../src/simulation/constants.ts';
import {
  FAULT_MODELS,
  type FaultSpec,
  type RehearsedFault,
} from '../src/simulation/faults/faults.ts';
import { rehearse } from '../src/simulation/rehearse.ts';
import { NO_TROUBLES, USUAL_TROUBLES } from '../src/simulation/sensing/delivery.ts';
import { type Reporting, usualReporting } from '../src/simulation/sensing/reporting.ts';
import { wellFileText } from '../src/simulation/well-file-text.ts';

const { values } = parseArgs({
  options: {
    system: { type: 'string', default: 'B' },
    fault: { type: 'string', multiple: true, default: [] },
    form: { type: 'string' },
    'onset-day': { type: 'string', default: '5' },
    growth: { type: 'string' },
    severity: { type: 'string', default: '1' },
    days: { type: 'string', default: '14' },
    seed: { type: 'string', default: '1' },
    rest: { type: 'string', default: '5' },
    policy: { type: 'string', default: 'fast-while-running' },
    start: { type: 'string', default: '2026-04-06' },
    'bucket-day': { type: 'string', default: '2' },
    troubles: { type: 'string', default: 'none' },
    out: { type: 'string', default: '.' },
    name: { type: 'string' },
  },
});

function known(name: string): RehearsedFault {
  if (Object.hasOwn(FAULT_MODELS, name)) return name as RehearsedFault;
  throw new RangeError(`no fault ${name}: expected ${Object.keys(FAULT_MODELS).join(', ')}`);
}

const faults: FaultSpec[] = values.fault
  .filter((name) => name !== 'none' && name !== 'healthy')
  .map((name) => ({
    name: known(name),
    onsetDay: Number(values['onset-day']),
    severity: Number(values.severity),
    ...(values.growth === undefined ? {} : { growthDays: Number(values.growth) }),
    ...(values.form === undefined ? {} : { form: values.form }),
  }));
const seed = Number(values.seed);
const system = buildSystem(values.system, seed);
const days = Number(values.days);
const startS = Date.parse(`${values.start}T00:00:00Z`) / 1000;
const bucketDay = Number(values['bucket-day']);
const reporting = usualReporting(values.policy as Reporting['policy'], Number(values.rest));
const rehearsal = rehearse({
  system,
  startS,
  timeZone: 'UTC',
  troubles: values.troubles === 'usual' ? USUAL_TROUBLES : NO_TROUBLES,
  sensing: {},
  days,
  seed,
  faults,
  reporting,
  bucketDays: bucketDay >= 0 ? [bucketDay] : [],
});

const faultName = faults.map((f) => f.name).join('+') || 'healthy';
const name = values.name ?? `${faultName}.${values.system}`;
mkdirSync(values.out, { recursive: true });
const gzip = createGzip({ level: 4 });
const file = createWriteStream(join(values.out, `${name}.csv.gz`));
gzip.pipe(file);
gzip.write('time,pressure [psi],current [A]\n');
const began = performance.now();
let block = '';
rehearsal.run((row) => {
  const pressure = row.pressurePaGauge === null ? '' : (row.pressurePaGauge / PSI_PA).toFixed(2);
  const current = row.currentA === null ? '' : row.currentA.toFixed(2);
  block += `${row.timeS.toFixed(1)},${pressure},${current}\n`;
  if (block.length < 1 << 16) return;
  gzip.write(block);
  block = '';
});
gzip.end(block);
const tookS = (performance.now() - began) / 1000;
const well = wellFileText({
  name: `Case ${values.system}`,
  system,
  seed,
  timeZone: 'UTC',
  buckets: rehearsal.buckets(),
  services: [],
  reporting,
});
writeFileSync(join(values.out, `${name}.well.toml`), well);
writeFileSync(join(values.out, `${name}.truth.json`), JSON.stringify(rehearsal.truth()));
file.on('close', () => {
  const speed = Math.round((days * DAY_S) / tookS);
  console.log(`${join(values.out, name)}: ${days} days, ${speed} simulated seconds per second`);
});
