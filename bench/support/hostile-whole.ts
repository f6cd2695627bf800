import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import { startWatch } from '../../test/watch/watch-child.ts';
import { type Honest, honestByHttp, honestByMqtt } from './honest.ts';

/** Resident memory of a process at most [MB]. */
const mostMb = (pid: number): number =>
  Number(/VmHWM:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))![1]) / 1000;

/** How many of a device's readings the service gives back, each with its time and value. */
function arrivedOf(log: string, { sent }: Honest): number {
  const kept = new Map(
    log.split('\n').map((row) => row.split(',').toReversed() as [string, string]),
  );
  return [...sent].filter(([value, timeS]) => kept.get(value) === String(timeS)).length;
}

function row(what: string, one: Honest, log: string): string {
  const sorted = one.tookMs.toSorted((a, b) => a - b);
  const at = (share: number) =>
    (sorted[Math.ceil(share * sorted.length) - 1] ?? Number.NaN).toFixed(0);
  const cells = [one.sent.size, arrivedOf(log, one), one.retries, at(0.5), at(0.99)];
  return `| ${what} | ${cells.join(' | ')} |`;
}

/**
 * Two honest devices before the whole service, a process of its own: first alone, then beside
 * everybody who means no good at once. Their readings are asked for afterwards, one by one.
 */
export async function hostileWhole(seconds: number, only?: string): Promise<void> {
  console.log('| device | sent | arrived | sent again | median ms | 99 % ms |');
  console.log('|---|---:|---:|---:|---:|---:|');
  for (const beside of [false, true]) {
    const folder = mkdtempSync(join(tmpdir(), 'hostile-whole-'));
    writeFileSync(join(folder, 'ridge.toml'), 'name = "Ridge"\n');
    const child = await startWatch([
      ...['watch', '--well', join(folder, 'ridge.toml'), '--http', '0', '--mqtt', '0'],
    ]);
    const { http: httpPort, mqtt: mqttPort } = child.ports;
    try {
      const file = new URL('./hostile-service.ts', import.meta.url);
      const hostile = beside
        ? new Worker(file, { workerData: { httpPort, mqttPort, seconds: seconds + 2, only } })
        : null;
      if (beside) await new Promise((resolve) => setTimeout(resolve, 2000));
      const stopAt = performance.now() + seconds * 1000;
      const way = { wellId: 'ridge', everyMs: 100, goesOn: () => performance.now() < stopAt };
      const [mqtt, http] = await Promise.all([
        honestByMqtt({ ...way, port: mqttPort, from: '127.0.0.2' }),
        honestByHttp({ ...way, port: httpPort, from: '127.0.0.3' }),
      ]);
      await hostile?.terminate();
      const at = `http://127.0.0.1:${httpPort}`;
      const log = await (await fetch(`${at}/api/v1/wells/ridge/log.csv`)).text();
      const name = beside ? ', beside hostile clients' : ', alone';
      console.log(row(`MQTT${name}`, mqtt, log));
      console.log(row(`HTTP${name}`, http, log));
      const { sinceStart } = (await (await fetch(`${at}/api/v1/counters`)).json()) as {
        sinceStart: Record<string, number>;
      };
      const bit = Object.entries(sinceStart).filter(
        ([counter]) => !/^(packs|readings)$/.test(counter),
      );
      if (beside) console.log(`\n${bit.map((one) => one.join(' ')).join(', ')}`);
      console.log(`\nresident memory at most ${mostMb(child.process.pid!).toFixed(0)} MB\n`);
    } finally {
      await child.stop();
      rmSync(folder, { recursive: true });
    }
  }
}
