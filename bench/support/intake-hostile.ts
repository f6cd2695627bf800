/**
 * A well-behaved device, one pack at a time, and beside it clients that are not: for
 * bench/hostile.ts, in a thread of their own. The device has an address of its own on the loopback,
 * as Linux lets it.
 */
import { once } from 'node:events';
import { connect, type Socket } from 'node:net';
import { parentPort, workerData } from 'node:worker_threads';
import { publishOf, RawMqtt } from '../../test/support/raw-mqtt.ts';

const { mqttPort, httpPort, seconds, what } = workerData as {
  mqttPort: number;
  httpPort: number;
  seconds: number;
  what: string;
};
const TOPIC = 'wells/ridge-house/readings';
const startS = Date.now() / 1000 - 30 * 86_400;
const stopAt = performance.now() + seconds * 1000;
const sockets: Socket[] = [];

const packOf = (device: string, seq: number) =>
  JSON.stringify([
    { bn: `${device}/`, bt: startS + seq / 10, n: 'pressure', u: 'Pa', v: 3e5 },
    { n: 'boot', v: 1 },
    { n: 'seq', v: seq },
  ]);

/** How long each acknowledgement took, ms. */
async function wellBehaved(): Promise<number[]> {
  const device = await RawMqtt.connected(mqttPort, 'well-behaved', { from: '127.0.0.2' });
  const tookMs: number[] = [];
  for (let seq = 1; performance.now() < stopAt; seq++) {
    const began = performance.now();
    device.socket.write(publishOf(TOPIC, packOf('good', seq), { id: (seq % 65_535) + 1 }));
    await once(device.socket, 'data');
    tookMs.push(performance.now() - began);
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
  device.end();
  return tookMs;
}

async function opened(port: number): Promise<Socket> {
  const socket = connect(port, '127.0.0.1').on('error', () => undefined);
  sockets.push(socket);
  await once(socket, 'connect');
  return socket;
}

/** Sends without an end, as much as is taken. */
async function flood(name: string, payload: (seq: number) => string): Promise<void> {
  const client = await RawMqtt.connected(mqttPort, name);
  sockets.push(client.socket);
  const push = (seq: number) => {
    if (performance.now() >= stopAt || client.closed) return;
    client.got.length = 0;
    let open = true;
    let at = seq;
    for (; open && at < seq + 50; at++) {
      open = client.socket.write(publishOf(TOPIC, payload(at), { id: (at % 65_535) + 1 }));
    }
    // Others in this thread have their turn, too.
    if (open) setImmediate(() => push(at));
    else client.socket.once('drain', () => push(at));
  };
  push(1);
}

const HOSTILE: Record<string, () => Promise<unknown>> = {
  nobody: async () => {},
  '100 connections with half a packet of 250 kB each': () =>
    Promise.all(
      Array.from({ length: 100 }, async (_, i) => {
        const client = await RawMqtt.connected(mqttPort, `half-${i}`);
        sockets.push(client.socket);
        client.socket.write(publishOf(TOPIC, 'x'.repeat(250_000)).subarray(0, 245_000));
      }),
    ),
  '2,000 connections that say nothing': () =>
    Promise.all(Array.from({ length: 2000 }, () => opened(mqttPort).catch(() => null))),
  '20 floods of readings': () =>
    Promise.all(
      Array.from({ length: 20 }, (_, i) => flood(`flood-${i}`, (seq) => packOf(`f${i}`, seq))),
    ),
  '20 floods of brackets, 100 kB each': () =>
    Promise.all(
      Array.from({ length: 20 }, (_, i) => flood(`deep-${i}`, () => '['.repeat(100_000))),
    ),
  '500 HTTP requests with half a body': () =>
    Promise.all(
      Array.from({ length: 500 }, async () => {
        const socket = await opened(httpPort);
        socket.write(
          'POST /api/v1/wells/ridge-house/readings HTTP/1.1\r\nhost: localhost\r\n' +
            'content-type: application/senml+json\r\ncontent-length: 200000\r\n\r\n[',
        );
      }),
    ),
};

parentPort?.postMessage({ ways: Object.keys(HOSTILE) });
if (what !== '') {
  await HOSTILE[what]!();
  const tookMs = (await wellBehaved()).toSorted((a, b) => a - b);
  for (const socket of sockets) socket.destroy();
  parentPort?.postMessage({ tookMs });
}
