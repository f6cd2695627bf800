import { once } from 'node:events';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import mqtt from 'mqtt';
import { studyLogs } from '../../src/cli/commands/study.ts';
import type { Study } from '../../src/model/study.ts';
import { type RehearsedLog, rehearsedLog } from '../support/rehearsed-log.ts';
import { spawnWatch, startWatch } from './watch-child.ts';

const AT_ONCE = 20;
const CHANNELS = [
  { n: 'pressure', u: 'Pa' },
  { n: 'current', u: 'A' },
];

export interface Killing {
  kills: number;
  days: number;
  /** Packs that the device sends in a second, where the service is up. */
  packsPerS: number;
  random: () => number;
  /** A kill comes so long after a start at most. */
  mostMs: number;
}

export interface AfterKills {
  packs: number;
  /** Readings that were acknowledged and are not there, and that are there twice. */
  lost: number;
  doubled: number;
  /** Kills before the service was up. */
  beforeUp: number;
  sentAgain: number;
  live: Study;
  replayed: Study;
}

/** One row of a log, as the device has it. */
interface Row {
  timeS: number;
  values: (number | null)[];
}

/** The rows of a rehearsed log, the last some minutes ago. */
function rowsOf(log: RehearsedLog): Row[] {
  const shiftS = Math.floor(Date.now() / 1000) - 300 - Math.ceil(log.timeS.at(-1)!);
  const rows = new Map<number, Row>();
  for (const [i, at] of log.timeS.entries()) {
    const timeS = at + shiftS;
    const row = rows.get(timeS) ?? { timeS, values: [null, null] };
    row.values[log.channel[i]!] = log.value[i]!;
    rows.set(timeS, row);
  }
  return [...rows.values()].sort((a, b) => a.timeS - b.timeS);
}

const packOf = ({ timeS, values }: Row, seq: number): string =>
  JSON.stringify([
    { bn: 'urn:dev:mac:0024befffe804ff1/', bt: timeS, n: 'boot', v: 1 },
    { n: 'seq', v: seq },
    ...values.flatMap((v, i) => (v === null ? [] : [{ ...CHANNELS[i], v }])),
  ]);

const csvOf = (rows: readonly Row[]): string => {
  const lines = rows.map(({ timeS, values }) => [timeS, ...values.map((v) => v ?? '')].join(','));
  return `time,pressure [Pa],current [A]\n${lines.join('\n')}\n`;
};

/**
 * A rehearsed device sends over MQTT while the service is killed again and again; then what is
 * there, and the study, beside those of the log.
 */
export async function killService(asked: Killing): Promise<AfterKills> {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-watch-'));
  const log = rehearsedLog({ letter: 'C', days: asked.days, seed: 61, restS: 10 });
  const rows = rowsOf(log);
  const [wellFile, logFile] = [join(folder, 'well.toml'), join(folder, 'log.csv')];
  writeFileSync(wellFile, log.toml);
  writeFileSync(logFile, csvOf(rows));
  const base = ['watch', '--well', wellFile];
  let service = await startWatch([...base, '--http', '0', '--mqtt', '0']);
  const { http, mqtt: port } = service.ports;
  const args = [...base, '--http', `${http}`, '--mqtt', `${port}`];
  const device = mqtt.connect(`mqtt://127.0.0.1:${port}`, { reconnectPeriod: 50, clean: true });
  try {
    const sending = send(device, log.well.id, rows, asked.packsPerS);
    let beforeUp = 0;
    for (let i = 0; i < asked.kills; i++) {
      if (i === 0) {
        await sleep(asked.random() * asked.mostMs);
        await service.kill();
        continue;
      }
      const { child, written } = spawnWatch(args);
      const ended = once(child, 'exit');
      await sleep(asked.random() * asked.mostMs);
      child.kill('SIGKILL');
      await ended;
      if (!written.err.includes('HTTP port')) beforeUp += 1;
    }
    service = await startWatch(args);
    const sentAgain = await sending;
    const address = `http://127.0.0.1:${http}/api/v1/wells/${log.well.id}`;
    const live = (await (await fetch(`${address}/study`)).json()) as Study;
    const found = await (await fetch(`${address}/log.csv`)).text();
    const options = { columns: {}, told: [] };
    const replayed = await studyLogs(log.well, [logFile], options);
    return {
      packs: rows.length,
      ...differences(csvOf(rows), found),
      beforeUp,
      sentAgain,
      live,
      replayed,
    };
  } finally {
    device.end(true);
    await service.kill();
    rmSync(folder, { recursive: true });
  }
}

/** Sends all, each again until it is acknowledged; resolves with how many went out twice. */
async function send(
  device: mqtt.MqttClient,
  wellId: string,
  rows: readonly Row[],
  packsPerS: number,
): Promise<number> {
  let sends = 0;
  device.on('packetsend', (packet) => {
    if (packet.cmd === 'publish') sends += 1;
  });
  // What is handed in while old packs are sent again is let go with the connection.
  const publish = async (pack: string): Promise<unknown> =>
    device
      .publishAsync(`wells/${wellId}/readings`, pack, { qos: 1 })
      .catch((error: unknown) => (device.disconnecting ? Promise.reject(error) : publish(pack)));
  const underWay = new Set<Promise<unknown>>();
  const began = performance.now();
  for (const [seq, row] of rows.entries()) {
    const earlyMs = (seq / packsPerS) * 1000 - (performance.now() - began);
    if (earlyMs > 5) await sleep(earlyMs);
    const sent: Promise<unknown> = publish(packOf(row, seq)).finally(() => underWay.delete(sent));
    underWay.add(sent);
    if (underWay.size >= AT_ONCE) await Promise.race(underWay);
  }
  await Promise.all(underWay);
  return sends - rows.length;
}

/** Both logs have the shortest digits of the same doubles, so rows are the same or they differ. */
function differences(sent: string, found: string): { lost: number; doubled: number } {
  const linesOf = (text: string) =>
    text
      .split('\n')
      .slice(1)
      .filter((line) => line !== '');
  const there = new Map<string, number>();
  for (const line of linesOf(found)) there.set(line, (there.get(line) ?? 0) + 1);
  const lost = linesOf(sent).filter((line) => !there.has(line)).length;
  return { lost, doubled: linesOf(found).length - (linesOf(sent).length - lost) };
}
