/**
 * How many readings a second are acknowledged, over MQTT and HTTP, each kept on disk before.
 * docs/speed.md says what the figures mean.
 *
 *   node bench/intake.ts [--seconds 3] [--clients 1,10,100] [--in-flight 20]
 *
 * Beside it what a plain table of the same database takes without any network: one commit a pack,
 * which is what acknowledging each by itself costs, and one commit for a hundred.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { Worker } from 'node:worker_threads';
import type { Pack, ReadingStore } from '../src/ports/reading-store.ts';
import { SqliteStore } from '../src/store/sqlite/store.ts';
import { MemoryReadings } from '../test/support/memory-readings.ts';
import { openIntake } from './support/intake-parts.ts';
import { PlainTable } from './support/plain-table.ts';

const { values } = parseArgs({
  options: {
    seconds: { type: 'string', default: '3' },
    clients: { type: 'string', default: '1,10,100' },
    'in-flight': { type: 'string', default: '20' },
  },
});
const seconds = Number(values.seconds);
const inFlight = Number(values['in-flight']);
const folder = mkdtempSync(join(tmpdir(), 'intake-'));

interface Opened {
  store: Pick<ReadingStore, 'keep'>;
  close(): Promise<void> | void;
}

/** Stores by name; each opens in a folder of its own. */
const STORES: Record<string, (at: string) => Promise<Opened> | Opened> = {
  memory: () => ({ store: new MemoryReadings(), close: () => {} }),
  'the store': (at) => {
    const store = new SqliteStore(`${at}.sqlite`);
    return { store, close: () => store.close() };
  },
  'plain table': (at) => {
    const store = new PlainTable(`${at}.db`);
    return { store, close: () => store.close() };
  },
};

interface Row {
  store: string;
  over: string;
  clients: number | string;
  readingsPerS: number;
  packsACommit: number;
}
const rows: Row[] = [];
/** What is measured is how fast it can be, not how fast one device may be. */
const NO_RATES = {
  ...{ packetsPerS: 1e6, packetsPerSAnAddress: 1e6, readingsPerSADevice: 1e6, devicesAWell: 200 },
};

async function live(name: string, over: 'mqtt' | 'http', clients: number): Promise<Row> {
  const { store, close } = await STORES[name]!(join(folder, `${rows.length}`));
  const intake = await openIntake(store, NO_RATES);
  const { counters } = intake;
  const port = over === 'mqtt' ? intake.mqttPort : intake.httpPort;
  const worker = new Worker(new URL('./support/intake-devices.ts', import.meta.url), {
    workerData: { port, clients, seconds, inFlight, over },
  });
  const sent = await new Promise<{ packs: number; seconds: number }>((resolve, reject) => {
    worker.once('message', resolve).once('error', reject);
  });
  await intake.close();
  await close();
  const packs = counters.of('packs');
  if (counters.of('readings') < 2 * sent.packs) {
    throw new Error(`expected ${2 * sent.packs} readings kept, found ${counters.of('readings')}`);
  }
  return {
    store: name,
    over: over === 'mqtt' ? `MQTT QoS 1, ${inFlight} in flight a client` : 'HTTP, one at a time',
    clients,
    readingsPerS: Math.round((2 * sent.packs) / sent.seconds),
    packsACommit: packs / counters.of('commits'),
  };
}

async function plain(packsACommit: number): Promise<Row> {
  const store = new PlainTable(join(folder, `plain-${packsACommit}.db`));
  const began = performance.now();
  let packs = 0;
  while (performance.now() - began < seconds * 1000) {
    const batch = Array.from({ length: packsACommit }, (_, i) => packAt(packs + i));
    await store.keep(batch);
    packs += packsACommit;
  }
  const took = (performance.now() - began) / 1000;
  store.close();
  const readingsPerS = Math.round((2 * packs) / took);
  return { store: 'plain table', over: 'no network', clients: '-', readingsPerS, packsACommit };
}

function packAt(seq: number): Pack {
  const timeS = 1_775_433_600 + seq;
  return {
    wellId: 'ridge-house',
    device: 'device-0',
    boot: 1,
    seq,
    arrivedS: timeS,
    readings: {
      count: 2,
      timeS: Float64Array.of(timeS, timeS),
      channel: Uint8Array.of(0, 1),
      value: Float64Array.of(3e5 + (seq % 977), 7.9),
    },
    refused: [],
  };
}

try {
  for (const size of [1, 100]) rows.push(await plain(size));
  for (const name of Object.keys(STORES)) {
    for (const over of ['mqtt', 'http'] as const) {
      for (const clients of values.clients.split(',').map(Number)) {
        rows.push(await live(name, over, clients));
      }
    }
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}
console.log('| store | over | clients | acknowledged readings/s | packs a commit |');
console.log('|---|---|---:|---:|---:|');
for (const { store, over, clients, readingsPerS, packsACommit } of rows) {
  const figures = `${readingsPerS.toLocaleString('en-US')} | ${packsACommit.toFixed(1)}`;
  console.log(`| ${store} | ${over} | ${clients} | ${figures} |`);
}
