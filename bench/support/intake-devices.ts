/**
 * Devices that send packs of two readings as fast as they are acknowledged, in a thread of their
 * own, for bench/intake.ts.
 */
import { once } from 'node:events';
import { connect } from 'node:net';
import { parentPort, workerData } from 'node:worker_threads';
import { publishOf, RawMqtt } from '../../test/support/raw-mqtt.ts';

const { port, clients, seconds, inFlight, over } = workerData as {
  port: number;
  clients: number;
  seconds: number;
  inFlight: number;
  over: 'mqtt' | 'http';
};
const TOPIC = 'wells/ridge-house/readings';
/** A backlog of some days, each reading at a time of its own. */
const startS = Date.now() / 1000 - 30 * 86_400;
const stopAt = performance.now() + seconds * 1000;

function packOf(client: number, seq: number): string {
  return JSON.stringify([
    {
      bn: `device-${client}/`,
      bt: startS + seq / 10,
      n: 'pressure',
      u: 'Pa',
      v: 3e5 + (seq % 977),
    },
    { n: 'current', u: 'A', v: 7.9 + (seq % 31) / 100 },
    { n: 'boot', v: stopAt | 0 },
    { n: 'seq', v: seq },
  ]);
}

async function mqttDevice(client: number): Promise<number> {
  const device = await RawMqtt.connected(port, `bench-${client}`);
  let sent = 0;
  let acknowledged = 0;
  const send = () => {
    const payload = packOf(client, sent);
    device.socket.write(publishOf(TOPIC, payload, { id: (sent++ % 65_535) + 1 }));
  };
  const ended = new Promise<void>((resolve) => {
    device.socket.on('data', () => {
      const fresh = device.got.splice(0).filter(({ type }) => type === 4).length;
      acknowledged += fresh;
      if (performance.now() >= stopAt) resolve();
      else for (let i = 0; i < fresh; i++) send();
    });
  });
  for (let i = 0; i < inFlight; i++) send();
  await ended;
  device.end();
  return acknowledged;
}

async function httpDevice(client: number): Promise<number> {
  const socket = connect(port, '127.0.0.1').setNoDelay(true);
  await once(socket, 'connect');
  let acknowledged = 0;
  for (let seq = 0; performance.now() < stopAt; seq++) {
    const body = packOf(client, seq);
    socket.write(
      'POST /api/v1/wells/ridge-house/readings HTTP/1.1\r\nhost: localhost\r\n' +
        `content-type: application/senml+json\r\ncontent-length: ${body.length}\r\n\r\n${body}`,
    );
    const [answer] = await once(socket, 'data');
    if (String(answer).startsWith('HTTP/1.1 200')) acknowledged++;
  }
  socket.destroy();
  return acknowledged;
}

const began = performance.now();
const device = over === 'mqtt' ? mqttDevice : httpDevice;
const each = await Promise.all(Array.from({ length: clients }, (_, i) => device(i)));
const packs = each.reduce((sum, one) => sum + one, 0);
parentPort?.postMessage({ packs, seconds: (performance.now() - began) / 1000 });
