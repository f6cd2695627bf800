/**
 * The whole service as a process of its own: readings acknowledged a second over HTTP, how long a
 * device waits, and what memory the process takes. docs/speed.md says what the figures mean. Linux.
 *
 *   node bench/service-clients.ts [--seconds 10] [--clients 1,10,100]
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { Agent, request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { startWatch } from '../test/watch/watch-child.ts';

const { values } = parseArgs({
  options: {
    seconds: { type: 'string', default: '10' },
    clients: { type: 'string', default: '1,10,100' },
  },
});
const seconds = Number(values.seconds);
const PATH = '/api/v1/wells/barn/readings';

/**
 * One client: posts two readings, waits for its answer, and posts the next. A well takes 32
 * devices, so that several share a name, and each has a boot of its own.
 */
async function device(port: number, i: number, stopAt: number): Promise<number[]> {
  // One address may only send so much: each has its own, as Linux lets it on the loopback.
  const localAddress = `127.0.0.${2 + (i % 200)}`;
  const agent = new Agent({ keepAlive: true, maxSockets: 1, localAddress });
  const tookMs: number[] = [];
  for (let seq = 0; performance.now() < stopAt; seq++) {
    const began = performance.now();
    const atS = Date.now() / 1000;
    const body = JSON.stringify([
      { bn: `device-${i % 32}/`, bt: atS, n: 'pressure', u: 'Pa', v: 3e5 + (seq % 977) },
      { n: 'current', u: 'A', v: 7.9 },
      { n: 'boot', v: i },
      { n: 'seq', v: seq },
    ]);
    const status = await post(port, agent, body);
    if (status !== 200) throw new Error(`expected 200, found ${status}`);
    tookMs.push(performance.now() - began);
  }
  agent.destroy();
  return tookMs;
}

function post(port: number, agent: Agent, body: string): Promise<number> {
  const headers = {
    'content-type': 'application/senml+json',
    'content-length': Buffer.byteLength(body),
  };
  return new Promise((resolve, reject) => {
    const sent = request({ port, path: PATH, method: 'POST', agent, headers }, (answer) => {
      answer.resume().once('end', () => resolve(answer.statusCode ?? 0));
    });
    sent.once('error', reject).end(body);
  });
}

/** Resident memory of a process, now and at most [MB]. */
function memoryMb(pid: number): { now: number; most: number } {
  const status = readFileSync(`/proc/${pid}/status`, 'utf8');
  const of = (name: string) => Number(new RegExp(`${name}:\\s+(\\d+) kB`).exec(status)![1]) / 1000;
  return { now: of('VmRSS'), most: of('VmHWM') };
}

async function measure(clients: number): Promise<string> {
  const folder = mkdtempSync(join(tmpdir(), 'service-clients-'));
  const well = join(folder, 'barn.toml');
  writeFileSync(well, 'name = "Barn"\n');
  const child = await startWatch(['watch', '--well', well, '--http', '0', '--mqtt', '0']);
  try {
    const { pid } = child.process;
    const before = memoryMb(pid!);
    const stopAt = performance.now() + seconds * 1000;
    const numbers = Array.from({ length: clients }, (_, i) => i);
    const all = await Promise.all(numbers.map((i) => device(child.ports.http, i, stopAt)));
    const tookMs = all.flat().toSorted((a, b) => a - b);
    const at = (share: number) => tookMs[Math.floor(share * (tookMs.length - 1))]!.toFixed(1);
    const after = memoryMb(pid!);
    const perS = Math.round((2 * tookMs.length) / seconds).toLocaleString('en-US');
    const mb = [before.now, after.most].map((one) => one.toFixed(0)).join(' | ');
    return `| ${clients} | ${perS} | ${at(0.5)} | ${at(0.99)} | ${mb} |`;
  } finally {
    await child.stop();
    rmSync(folder, { recursive: true });
  }
}

console.log('| clients | acknowledged readings/s | median ms | 99 % ms | MB before | MB at most |');
console.log('|---:|---:|---:|---:|---:|---:|');
for (const clients of values.clients.split(',').map(Number)) console.log(await measure(clients));
