/**
 * Clients that mean no good, all at once and in a thread of their own, against the whole service:
 * for `bench/hostile.ts --whole`. Each kind has addresses of its own on the loopback, as Linux lets
 * it.
 */
import { once } from 'node:events';
import { Agent, request } from 'node:http';
import { connect, type Socket } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import { workerData } from 'node:worker_threads';
import { gzipSync } from 'node:zlib';
import { publishOf, RawMqtt } from '../../test/support/raw-mqtt.ts';

const { mqttPort, httpPort, seconds, only } = workerData as {
  mqttPort: number;
  httpPort: number;
  seconds: number;
  /** Kinds that have this in their name; all without it. */
  only?: string;
};
const TOPIC = 'wells/ridge/readings';
const PATH = '/api/v1/wells/ridge/readings';
const SENML = { 'content-type': 'application/senml+json' };
const stopAt = performance.now() + seconds * 1000;
const goesOn = () => performance.now() < stopAt;

async function socketTo(port: number, localAddress: string): Promise<Socket> {
  const socket = connect({ port, host: '127.0.0.1', localAddress }).on('error', () => undefined);
  socket.resume();
  await Promise.race([once(socket, 'connect'), once(socket, 'close')]).catch(() => undefined);
  return socket;
}

/** Does something again and again until it is over, whatever comes of it. */
async function again(act: () => Promise<unknown>, everyMs = 0): Promise<void> {
  while (goesOn()) {
    await act().catch(() => undefined);
    await sleep(everyMs);
  }
}

const packOf = (device: string, seq: number): string => {
  const bt = Date.now() / 1000 - 86_400 + (seq % 80_000);
  return JSON.stringify([{ bn: `${device}/`, bt, n: 'pressure', u: 'Pa', v: 1e5 }]);
};

/** A flood over MQTT, whatever is in it. */
async function flood(from: string, payload: (seq: number) => string | Buffer): Promise<void> {
  let seq = 0;
  await again(async () => {
    const client = await RawMqtt.connected(mqttPort, `flood-${from}-${seq}`, { from });
    while (goesOn() && !client.closed) {
      client.got.length = 0;
      let open = true;
      for (let i = 0; i < 20 && open; i++, seq++)
        open = client.socket.write(publishOf(TOPIC, payload(seq), { id: (seq % 65_535) + 1 }));
      if (open) await sleep(0);
      else await Promise.race([once(client.socket, 'drain'), once(client.socket, 'close')]);
    }
    client.end();
  }, 20);
}

function post(localAddress: string, body: string | Buffer, headers: object = SENML) {
  const agent = new Agent({ keepAlive: false });
  return new Promise<void>((resolve, reject) => {
    const way = { port: httpPort, path: PATH, method: 'POST', localAddress, agent };
    const sent = request({ ...way, headers: { ...headers } }, (answer) => {
      answer.resume().once('close', resolve);
    });
    sent.once('error', reject).end(body);
  });
}

const get = (localAddress: string, path: string) =>
  new Promise<void>((resolve, reject) => {
    const way = { port: httpPort, path: `/api/v1/${path}`, localAddress, agent: false as const };
    request(way, (answer) => answer.resume().once('close', resolve))
      .once('error', reject)
      .end();
  });

const bomb = gzipSync(Buffer.alloc(200 * 1024 * 1024, ' '), { level: 9 });
const GZIP = { ...SENML, 'content-encoding': 'gzip' };
const many = (count: number, one: (i: number) => Promise<unknown>) =>
  Promise.all(Array.from({ length: count }, (_, i) => one(i)));
const head = `POST ${PATH} HTTP/1.1\r\nhost: x\r\ncontent-type: application/senml+json\r\n`;

const KINDS: Record<string, () => Promise<unknown>> = {
  'floods of readings': () =>
    many(8, (i) => flood('127.0.1.1', (seq) => packOf(`flood-${i}`, seq))),
  'floods of brackets': () => many(4, () => flood('127.0.1.2', () => '['.repeat(100_000))),
  'floods of noise': () => many(4, () => flood('127.0.1.3', (seq) => Buffer.alloc(200, seq & 255))),
  'odd topics': () =>
    many(4, (i) =>
      again(async () => {
        const client = await RawMqtt.connected(mqttPort, `odd-${i}`, { from: '127.0.1.4' });
        client.publish(['wells/#', '$SYS/x', '../../etc', `${TOPIC}\0`][i]!, packOf('odd', i));
        await Promise.race([once(client.socket, 'close'), sleep(500)]);
        client.end();
      }),
    ),
  'silent connections': () =>
    many(600, (i) => socketTo(i % 2 === 0 ? mqttPort : httpPort, '127.0.1.5')),
  'bodies byte by byte': () =>
    many(100, async () => {
      const socket = await socketTo(httpPort, '127.0.1.6');
      socket.write(`${head}content-length: 200000\r\n\r\n[`);
      while (goesOn() && !socket.destroyed) {
        socket.write(' ');
        await sleep(1000);
      }
    }),
  'headers byte by byte': () =>
    many(100, async () => {
      const socket = await socketTo(httpPort, '127.0.1.7');
      for (const letter of head.repeat(20)) {
        if (!goesOn() || socket.destroyed) break;
        socket.write(letter);
        await sleep(500);
      }
    }),
  bombs: () => many(4, () => again(() => post('127.0.1.8', bomb, GZIP))),
  'bodies of no use': () =>
    many(4, (i) => again(() => post('127.0.1.9', ['{', '[[[[[[[[[[', '\0', '[1e999]'][i]!))),
  'names that lead nowhere': () =>
    many(8, () => again(() => get('127.0.1.10', 'wells/..%2f..%2fetc/now'))),
  'studies without a pause': () =>
    many(8, () => again(() => get('127.0.1.11', 'wells/ridge/study'))),
  'listeners without a pause': () => many(100, () => again(() => get('127.0.1.12', 'events'), 100)),
};

const kinds = Object.entries(KINDS).filter(([kind]) => only === undefined || kind.includes(only));
await Promise.all(kinds.map(([, begin]) => begin()));
process.exit(0);
