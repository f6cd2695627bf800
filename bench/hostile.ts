/**
 * What a well-behaved device notices of hostile and slow clients, and what memory they take.
 * docs/speed.md says what the figures mean.
 *
 *   node bench/hostile.ts [--seconds 3]
 *   node bench/hostile.ts --whole [--seconds 20] [--only floods]
 *
 * The second has all kinds of them at once, or some, before the whole service. Linux.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { Worker } from 'node:worker_threads';
import { hostileWhole } from './support/hostile-whole.ts';
import { openIntake } from './support/intake-parts.ts';
import { PlainTable } from './support/plain-table.ts';

const { values } = parseArgs({
  options: {
    seconds: { type: 'string' },
    whole: { type: 'boolean', default: false },
    only: { type: 'string' },
  },
});
const seconds = Number(values.seconds ?? (values.whole ? 20 : 3));
const folder = mkdtempSync(join(tmpdir(), 'hostile-'));

function worker(data: object): Worker {
  const file = new URL('./support/intake-hostile.ts', import.meta.url);
  return new Worker(file, { workerData: data });
}

async function ways(): Promise<string[]> {
  const asked = worker({ what: '' });
  return new Promise((resolve, reject) => {
    asked.once('message', (message) => resolve(message.ways)).once('error', reject);
  });
}

async function measure(what: string, i: number): Promise<string> {
  const store = new PlainTable(join(folder, `${i}.db`));
  const intake = await openIntake(store);
  globalThis.gc?.();
  const before = process.memoryUsage();
  let most = 0;
  const look = setInterval(() => {
    const { heapUsed, external } = process.memoryUsage();
    most = Math.max(most, heapUsed + external - before.heapUsed - before.external);
  }, 20);
  const thread = worker({ mqttPort: intake.mqttPort, httpPort: intake.httpPort, seconds, what });
  const tookMs = await new Promise<number[]>((resolve, reject) => {
    thread.on('message', (message) => {
      if (message.tookMs !== undefined) resolve(message.tookMs);
    });
    thread.once('error', reject);
  });
  clearInterval(look);
  await intake.close();
  await store.close();
  const at = (share: number) =>
    (tookMs[Math.floor(share * (tookMs.length - 1))] ?? Number.NaN).toFixed(1);
  const bit = Object.entries(intake.counters.all())
    .filter(([name]) => /refused:|held-|slowed|turned|failed|idle|slow/.test(name))
    .map(([name, count]) => `${name} ${count}`);
  const mb = (most / 1e6).toFixed(0);
  return `| ${what} | ${tookMs.length} | ${at(0.5)} | ${at(0.99)} | ${mb} | ${bit.join(', ')} |`;
}

async function intakeAlone(): Promise<void> {
  console.log('| beside it | acknowledged | median ms | 99 % ms | MB more | what bit |');
  console.log('|---|---:|---:|---:|---:|---|');
  for (const [i, what] of (await ways()).entries()) console.log(await measure(what, i));
}

try {
  await (values.whole ? hostileWhole(seconds, values.only) : intakeAlone());
} finally {
  rmSync(folder, { recursive: true, force: true });
}
