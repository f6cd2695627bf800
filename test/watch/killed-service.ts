import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import mqtt from 'mqtt';
import { studyLogs } from '../../src/cli/commands/study.ts';
import type { Study } from '../../src/model/study.ts';
import { type RehearsedLog, rehearsedLog } from '../support/rehearsed-log.ts';
import { Killer, lookAtCopy, MOMENTS } from './kill-moments.ts';
import { startWatch } from './watch-child.ts';

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
  /** What the kills fell into; others came while readings were taken. */
  counts: Killer['counts'];
  /** Copies that were there as a whole, and what was wrong with them. */
  copies: number;
  wrongCopies: string[];
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
 * A rehearsed device sends over MQTT while the service is killed again and again, in one moment
 * after the other; then what is there, and the study, beside those of the log.
 */
export async function killService(asked: Killing): Promise<AfterKills> {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-watch-'));
  const log = rehearsedLog({ letter: 'C', days: asked.days, seed: 61, restS: 10 });
  const rows = rowsOf(log);
  const [wellFile, logFile] = [join(folder, 'well.toml'), join(folder, 'log.csv')];
  const store = join(folder, 'wellwright.sqlite');
  writeFileSync(wellFile, log.toml);
  writeFileSync(logFile, csvOf(rows));
  const base = ['watch', '--well', wellFile];
  let service = await startWatch([...base, '--http', '0', '--mqtt', '0']);
  const { http, mqtt: port } = service.ports;
  const args = [...base, '--http', `${http}`, '--mqtt', `${port}`];
  const device = mqtt.connect(`mqtt://127.0.0.1:${port}`, { reconnectPeriod: 50, clean: true });
  const wellId = log.well.id;
  try {
    const acknowledged: Row[] = [];
    const sending = send({ device, wellId, rows, packsPerS: asked.packsPerS, acknowledged });
    await sleep(asked.random() * asked.mostMs);
    await service.kill();
    const { random, mostMs } = asked;
    const killer = new Killer({ args, store, random, mostMs });
    const wrongCopies: string[] = [];
    let copies = 0;
    for (let i = 1; i < asked.kills; i++) {
      const moment = MOMENTS[i % MOMENTS.length]!;
      const before = [...acknowledged];
      await killer.kill(moment);
      const copy = moment === 'backup' ? await lookAtCopy(store, wellId) : null;
      if (copy === null) continue;
      copies += 1;
      wrongCopies.push(...copy.problems, ...wrongIn(copy.csv, before, rows));
    }
    service = await startWatch(args);
    const sentAgain = await sending;
    const address = `http://127.0.0.1:${http}/api/v1/wells/${wellId}`;
    const live = (await (await fetch(`${address}/study`)).json()) as Study;
    const found = await (await fetch(`${address}/log.csv`)).text();
    const options = { columns: {}, told: [] };
    const replayed = await studyLogs(log.well, [logFile], options);
    return {
      packs: rows.length,
      ...differences(csvOf(rows), found),
      counts: killer.counts,
      copies,
      wrongCopies,
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

/** What a copy lacks of all that was acknowledged before it was begun, or has twice. */
function wrongIn(csv: string, before: readonly Row[], all: readonly Row[]): string[] {
  const { lost } = differences(csvOf(before), csv);
  const { doubled } = differences(csvOf(all), csv);
  return lost + doubled === 0 ? [] : [`a copy with ${lost} rows lost, ${doubled} doubled`];
}

interface Sending {
  device: mqtt.MqttClient;
  wellId: string;
  rows: readonly Row[];
  packsPerS: number;
  /** Rows are put here as they are acknowledged. */
  acknowledged: Row[];
}

/** Sends all, each again until it is acknowledged; resolves with how many went out twice. */
async function send(sending: Sending): Promise<number> {
  const { device, wellId, rows, packsPerS, acknowledged } = sending;
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
    const sent: Promise<unknown> = publish(packOf(row, seq))
      .then(() => acknowledged.push(row))
      .finally(() => underWay.delete(sent));
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
