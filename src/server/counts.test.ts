import { once } from 'node:events';
import { type AddressInfo, connect } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { Gauges } from '../guided/gauges.ts';
import { GuidedTests } from '../guided/guided-tests.ts';
import { LivingWells } from '../living/living-wells.ts';
import { MemoryStore } from '../store/memory/store.ts';
import { ServerCounts } from './counts.ts';
import { Feed } from './feed.ts';
import { limitsOfServer, SERVER_COUNTERS } from './limits.ts';
import { httpInterface } from './server.ts';

const limits = limitsOfServer({
  ...{ httpConnections: 4, headersWithinS: 0.3, requestWithinS: 0.4, silentS: 1, idleS: 0.2 },
  ...{ records: 2, longAnswers: 1, listeners: 1, listenerBytes: 200, eventsKept: 2 },
});

let app: Awaited<ReturnType<typeof httpInterface>>;
let feed: Feed;
let port: number;
/** What goes on until the test lets it end. */
let held: PromiseWithResolvers<void>;
beforeEach(async () => {
  const store = new MemoryStore();
  feed = new Feed(limits, 'a');
  held = Promise.withResolvers();
  const clock = { nowS: () => 0 };
  const breathe = async () => undefined;
  const wells = new LivingWells({ store, clock, breathe, tell: () => undefined }, 'one');
  const living = () => null;
  const work = { store, clock, breathe, living, book: living, work: living };
  const [guided, gauges] = [new GuidedTests(work), new Gauges(work)];
  const records = [1, 2, 3].map((atS) => ({ id: `${atS}`, atS, body: { atS } }));
  await store.putRecords('ridge', 'run', 0, records);
  const log = async function* () {
    yield 'time\n';
    await held.promise;
  };
  app = await httpInterface({
    ...{ store, wells, guided, gauges, feed, limits, page: import.meta.dirname },
    names: new Map([['ridge', 'Ridge']]),
    counters: () => ({}),
    counts: new ServerCounts(),
    take: async () => ({ status: 200, headers: {}, body: '{}' }),
    logs: { csv: log, senml: log },
    textOf: () => '',
    contractorPages: { html: async () => '', pdf: async () => Buffer.from('') },
    holds: () => null,
    alarms: () => null,
    book: () => null,
    makeWell: async () => undefined,
    waysIn: () => ({ mqttPort: null, isLocal: true }),
    browsers: () => null,
    say: () => undefined,
  });
  // The times of slow requests are looked at in an interval of half a minute otherwise.
  Object.assign(app.server, { connectionsCheckingInterval: 50 });
  await app.listen({ host: '127.0.0.1', port: 0 });
  port = (app.server.address() as AddressInfo).port;
});
afterEach(async () => {
  held.resolve();
  feed.close();
  await app.close();
});

const get = (path: string, headers: Record<string, string> = {}) =>
  fetch(`http://127.0.0.1:${port}/api/v1/${path}`, { headers });

async function counts(): Promise<Record<string, number>> {
  const response = await get('counters', { connection: 'close' });
  return ((await response.json()) as { sinceStart: Record<string, number> }).sinceStart;
}

/** Says something over a plain connection; resolves once it has ended. */
async function plain(text: string): Promise<void> {
  const socket = connect(port, '127.0.0.1')
    .on('error', () => undefined)
    .resume();
  await once(socket, 'connect');
  socket.write(text);
  await once(socket, 'close');
}

it('counts whom it turns away, by what they were told', async () => {
  await get('nowhere');
  await get('wells/barn/now');
  await get('wells/ridge/readings?channel=pressure&stretches=5001');
  await get('wells/ridge/refused?most=1001');
  await get(`wells/${'x'.repeat(101)}/now`);
  await plain('this is no HTTP\r\n\r\n');
  await plain(`GET /api/v1/health HTTP/1.1\r\nhost: a\r\nx: ${'y'.repeat(20_000)}\r\n\r\n`);
  const first = await get('wells/ridge/log.csv');
  expect((await get('wells/ridge/log.csv')).status).toBe(503);
  held.resolve();
  await first.text();
  expect(await counts()).toMatchObject({
    'http:no-such-address': 1,
    'http:unknown-well': 1,
    'http:too-large': 1,
    'http:busy': 1,
  });
  expect((await counts())['http:bad-request']).toBeGreaterThanOrEqual(3);
});

it('counts answers in parts, gaps, and listeners that have no place', async () => {
  const most = (await get('wells/ridge/runs')).json();
  expect(await most).toMatchObject({ runs: [{}, {}], next: '1970-01-01T00:00:03.000Z' });
  await get('wells/ridge/runs?most=1');
  const stop = new AbortController();
  const listening = await fetch(`http://127.0.0.1:${port}/api/v1/events`, {
    headers: { 'last-event-id': 'long-gone' },
    signal: stop.signal,
  });
  expect((await get('events')).status).toBe(503);
  expect(await counts()).toMatchObject({
    ...{ 'http-in-parts': 1, 'gaps-told': 1, 'listeners-turned-away': 1, 'http:busy': 1 },
  });
  stop.abort();
  await listening.text().catch(() => undefined);
});

it('counts connections that are too slow, silent, or one too many', async () => {
  await plain('GET /api/v1/health HTTP/1.1\r\nhost: a\r\nx: slow');
  expect(await counts()).toMatchObject({ 'http:too-slow': 1 });
  const quiet = connect(port, '127.0.0.1').resume();
  await once(quiet, 'connect');
  quiet.write('GET /api/v1/health HTTP/1.1\r\nhost: a\r\n\r\n');
  await once(quiet, 'close');
  expect(await counts()).toMatchObject({ 'http-silent-closed': 1 });
  const many = Array.from({ length: 8 }, () =>
    connect(port, '127.0.0.1')
      .on('error', () => undefined)
      .resume(),
  );
  await sleep(200);
  for (const one of many) one.destroy();
  await sleep(100);
  expect((await counts())['http-turned-away']).toBeGreaterThanOrEqual(4);
});

it('has a counter for every bound but the rhythm', () => {
  const without = Object.entries(SERVER_COUNTERS).filter(([, counter]) => counter === null);
  expect(without.map(([name]) => name)).toEqual(['heartbeatS']);
});
