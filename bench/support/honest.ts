import { Agent, request } from 'node:http';
import { setTimeout as sleep } from 'node:timers/promises';
import { publishOf, RawMqtt } from '../../test/support/raw-mqtt.ts';

/** What a device sent, and how long each pack took until it was acknowledged, retries and all. */
export interface Honest {
  sent: Map<string, number>;
  tookMs: number[];
  retries: number;
}

export interface HonestWay {
  port: number;
  wellId: string;
  /** An address of its own on the loopback. */
  from: string;
  everyMs: number;
  goesOn: () => boolean;
}

/** Nobody waits longer for an answer before it tries again. */
const ANSWER_WITHIN_MS = 15_000;

/** One reading now, of a value that none of the others has. */
function packOf(device: string, seq: number, sent: Map<string, number>): string {
  const timeS = Math.round(Date.now()) / 1000;
  const value = (device === 'by-mqtt' ? 2e5 : 3e5) + seq / 8;
  sent.set(String(value), timeS);
  return JSON.stringify([
    { bn: `${device}/`, bt: timeS, n: 'pressure', u: 'Pa', v: value },
    { n: 'boot', v: 1 },
    { n: 'seq', v: seq },
  ]);
}

/** A device that keeps what was not acknowledged, and sends it again. */
async function honest(
  device: string,
  { everyMs, goesOn }: HonestWay,
  tell: (pack: string, seq: number) => Promise<boolean>,
): Promise<Honest> {
  const done: Honest = { sent: new Map(), tookMs: [], retries: 0 };
  for (let seq = 1; goesOn(); seq++) {
    const began = performance.now();
    const pack = packOf(device, seq, done.sent);
    while (!(await tell(pack, seq).catch(() => false))) {
      done.retries += 1;
      await sleep(200);
    }
    done.tookMs.push(performance.now() - began);
    await sleep(everyMs);
  }
  return done;
}

export function honestByMqtt(way: HonestWay): Promise<Honest> {
  let client: RawMqtt | null = null;
  return honest('by-mqtt', way, async (pack, seq) => {
    if (client === null || client.closed)
      client = await RawMqtt.connected(way.port, 'honest', { from: way.from });
    const id = (seq % 65_535) + 1;
    client.got.length = 0;
    client.socket.write(publishOf(`wells/${way.wellId}/readings`, pack, { id }));
    const until = performance.now() + ANSWER_WITHIN_MS;
    const isHeard = () => client!.acknowledged().includes(id);
    while (!isHeard() && !client.closed && performance.now() < until) await sleep(1);
    if (!isHeard()) client.end();
    return isHeard();
  });
}

export function honestByHttp(way: HonestWay): Promise<Honest> {
  const path = `/api/v1/wells/${way.wellId}/readings`;
  const headers = { 'content-type': 'application/senml+json' };
  // It keeps its connection: a new one waits behind all that somebody else opens.
  const agent = new Agent({ keepAlive: true, maxSockets: 1, localAddress: way.from });
  return honest('by-http', way, (pack) => {
    const to = { port: way.port, path, method: 'POST', headers, agent };
    const signal = AbortSignal.timeout(ANSWER_WITHIN_MS);
    return new Promise((resolve, reject) => {
      const sent = request({ ...to, signal }, (answer) => {
        answer.resume().once('end', () => resolve(answer.statusCode === 200));
      });
      sent.once('error', reject).end(pack);
    });
  });
}
