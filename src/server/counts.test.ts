import { once } from 'node:events';
import { type IncomingMessage, request } from 'node:http';
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
  ...{
    httpConnections: 6,
    httpConnectionsAnAddress: 4,
    headersWithinS: 0.3,
    requestWithinS: 0.4,
    silentS: 2,
    idleS: 0.2,
  },
  ...{ answerWithinS: 1, listenersAnAddress: 1 },
  ...{ requestsPerS: 20, actsAMinute: 3 },
  ...{ records: 2, longAnswers: 1, listeners: 2, listenerBytes: 200, eventsKept: 2 },
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
    ...{ store, wells, guided, gauges, feed, limits, clock, page: import.meta.dirname },
    names: new Map([['ridge', 'Ridge']]),
    counters: () => ({}),
    storeBytes: () => 0,
    backup: () => Promise.reject(new Error('none here')),
    hostNames: ['well.example.org'],
    counts: new ServerCounts(),
    take: async () => ({ status: 200, headers: {}, body: '{}' }),
    logs: { csv: log, senml: log },
    textOf: () => '',
    contractorPages: { html: async () => '', pdf: async () => Buffer.from('') },
    holds: () => null,
    ...{ gate: null, tls: null },
    alarms: () => null,
    push: null,
    book: () => null,
    makeWell: async () => undefined,
    waysIn: () => ({ mqttPort: null, plainMqttPort: null, isLocal: true }),
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

/** Another of the addresses of the loopback, all of which Linux has. */
const from = (localAddress: string, path: string, method = 'GET') =>
  new Promise<IncomingMessage>((resolve, reject) => {
    const way = { port, path: `/api/v1/${path}`, method, localAddress, agent: false };
    request(way, (response) => resolve(response.resume()))
      .once('error', reject)
      .end();
  });

/** So many requests at once on one connection; their statuses in order. */
async function many(localAddress: string, path: string, count: number): Promise<number[]> {
  const socket = connect({ port, host: '127.0.0.1', localAddress });
  const statuses: number[] = [];
  socket.on('data', (data) => {
    for (const [, status] of String(data).matchAll(/HTTP\/1\.1 (\d+)/g))
      statuses.push(Number(status));
    if (statuses.length === count) socket.destroy();
  });
  socket.write(`GET /api/v1/${path} HTTP/1.1\r\nhost: a\r\n\r\n`.repeat(count));
  await once(socket, 'close');
  return statuses;
}

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
  await get(`wells/ridge/readings?channel=pressure&stretches=${limits.stretches + 1}`);
  await get(`wells/ridge/refused?most=${limits.refusedShown + 1}`);
  await get(`wells/${'x'.repeat(limits.targetChars + 1)}/now`);
  await plain('this is no HTTP\r\n\r\n');
  const long = 'y'.repeat(limits.headerBytes);
  await plain(`GET /api/v1/health HTTP/1.1\r\nhost: localhost\r\nx: ${long}\r\n\r\n`);
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
  await plain('GET /api/v1/health HTTP/1.1\r\nhost: localhost\r\nx: slow');
  expect(await counts()).toMatchObject({ 'http:too-slow': 1 });
  const quiet = connect(port, '127.0.0.1').resume();
  await once(quiet, 'connect');
  quiet.write('GET /api/v1/health HTTP/1.1\r\nhost: localhost\r\n\r\n');
  await once(quiet, 'close');
  expect(await counts()).toMatchObject({ 'http-silent-closed': 1 });
  const many = Array.from({ length: 8 }, () =>
    connect(port, '127.0.0.1')
      .on('error', () => undefined)
      .resume(),
  );
  await sleep(200);
  // They are four too many of one address; another one still comes in, and two more are the most.
  if (process.platform === 'linux') {
    expect((await from('127.0.0.2', 'health')).statusCode).toBe(200);
    const others = ['127.0.0.3', '127.0.0.4', '127.0.0.5'].map((localAddress) =>
      connect({ port, localAddress })
        .on('error', () => undefined)
        .resume(),
    );
    await once(others[2]!, 'close');
    for (const one of others) one.destroy();
  }
  for (const one of many) one.destroy();
  await sleep(100);
  expect((await counts())['http-turned-away']).toBeGreaterThanOrEqual(4);
});

it.runIf(process.platform === 'linux')('asks one address to wait, and no other', async () => {
  const told = await many('127.0.0.2', 'health', 150);
  expect(told.slice(0, 40)).toEqual(Array(40).fill(200));
  expect(told).toContain(429);
  const acts = [];
  for (let i = 0; i < 5; i++) acts.push(await from('127.0.0.3', 'wells/ridge/service', 'POST'));
  expect(acts.map(({ statusCode }) => statusCode)).toEqual([415, 415, 415, 415, 429]);
  expect(Number(acts[4]!.headers['retry-after'])).toBeGreaterThan(10);
  // Readings are no acts: the intake has bounds of its own for them.
  expect((await from('127.0.0.3', 'wells/ridge/readings', 'POST')).statusCode).toBe(200);
  expect((await from('127.0.0.4', 'health')).statusCode).toBe(200);
  expect((await counts())['http:too-often']).toBeGreaterThanOrEqual(2);
});

it('cuts off a long answer that holds the place of another', async () => {
  const first = await get('wells/ridge/log.csv');
  await expect(first.text()).rejects.toThrow();
  expect(await counts()).toMatchObject({ 'http-too-long': 1 });
  held.resolve();
  expect(await (await get('wells/ridge/log.csv')).text()).toBe('time\n');
});

it('says of every answer that it is for nobody else and not to be kept', async () => {
  const stop = new AbortController();
  const paths = ['wells', 'nowhere', 'wells/barn/now', 'openapi.json', 'wells/ridge/log.csv'];
  const answers = await Promise.all(paths.map((path) => get(path)));
  answers.push(await fetch(`http://127.0.0.1:${port}/api/v1/events`, { signal: stop.signal }));
  for (const { headers, url } of answers) {
    expect(headers.get('cache-control'), url).toBe('no-store');
    expect(headers.get('x-content-type-options'), url).toBe('nosniff');
    expect(headers.get('referrer-policy'), url).toBe('no-referrer');
    expect(headers.get('cross-origin-resource-policy'), url).toBe('same-origin');
    expect(headers.get('cross-origin-opener-policy'), url).toBe('same-origin');
    expect(headers.get('content-security-policy'), url).toMatch(/^default-src 'none'; frame-anc/);
    expect(headers.has('access-control-allow-origin'), url).toBe(false);
  }
  held.resolve();
  stop.abort();
  await Promise.all(answers.map((answer) => answer.text().catch(() => undefined)));
});

it('has a counter for every bound but the rhythm', () => {
  const without = Object.entries(SERVER_COUNTERS).filter(([, counter]) => counter === null);
  expect(without.map(([name]) => name)).toEqual(['heartbeatS']);
});
