/**
 * What a well-behaved device notices of hostile and slow clients, and what memory they take.
 * docs/speed.md says what the figures mean.
 *
 *   node bench/hostile.ts [--seconds 3]
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { Worker } from 'node:worker_threads';
import { Counters } from '../src/ingest/counters.ts';
import { HttpReadings } from '../src/ingest/http/http-readings.ts';
import { GroupInbox } from '../src/ingest/inbox/inbox.ts';
import { limitsWith } from '../src/ingest/limits.ts';
import { OwnBroker } from '../src/ingest/mqtt/own-broker.ts';
import { PackReader } from '../src/ingest/pack-reader.ts';
import { httpFront } from '../test/support/http-front.ts';
import { MemoryReadings } from '../test/support/memory-readings.ts';
import { PlainStore } from './support/plain-store.ts';

const { values } = parseArgs({ options: { seconds: { type: 'string', default: '3' } } });
const seconds = Number(values.seconds);
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
  const clock = { nowS: () => Date.now() / 1000 };
  const counters = new Counters();
  const limits = limitsWith();
  const store = new PlainStore(join(folder, `${i}.db`));
  const waiting = new MemoryReadings();
  const inbox = await GroupInbox.open({ store, waiting, clock, counters, limits });
  const reader = new PackReader({ wells: ['ridge-house'], clock, counters, limits });
  const broker = new OwnBroker({ reader, host: '127.0.0.1', port: 0 });
  const readings = new HttpReadings(reader);
  const front = await httpFront(readings);
  await broker.open(inbox);
  await readings.open(inbox);
  globalThis.gc?.();
  const before = process.memoryUsage();
  let most = 0;
  const look = setInterval(() => {
    const { heapUsed, external } = process.memoryUsage();
    most = Math.max(most, heapUsed + external - before.heapUsed - before.external);
  }, 20);
  const thread = worker({ mqttPort: broker.port, httpPort: front.port, seconds, what });
  const tookMs = await new Promise<number[]>((resolve, reject) => {
    thread.on('message', (message) => {
      if (message.tookMs !== undefined) resolve(message.tookMs);
    });
    thread.once('error', reject);
  });
  clearInterval(look);
  await front.close();
  await broker.close();
  await readings.close();
  await inbox.close();
  store.close();
  const at = (share: number) =>
    (tookMs[Math.floor(share * (tookMs.length - 1))] ?? Number.NaN).toFixed(1);
  const bit = Object.entries(counters.all())
    .filter(([name]) => /refused:|held-|slowed|turned|failed|idle|slow/.test(name))
    .map(([name, count]) => `${name} ${count}`);
  const mb = (most / 1e6).toFixed(0);
  return `| ${what} | ${tookMs.length} | ${at(0.5)} | ${at(0.99)} | ${mb} | ${bit.join(', ')} |`;
}

try {
  console.log('| beside it | acknowledged | median ms | 99 % ms | MB more | what bit |');
  console.log('|---|---:|---:|---:|---:|---|');
  for (const [i, what] of (await ways()).entries()) console.log(await measure(what, i));
} finally {
  rmSync(folder, { recursive: true, force: true });
}
