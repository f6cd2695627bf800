/**
 * A year through the whole service: a rehearsed device hands in pack after pack over HTTP, each is
 * kept in the store and analysed, by a clock that goes as fast as they do. Then what a keeper asks
 * for, over HTTP, beside a plain table of the same readings; docs/service.md says what it means.
 *
 *   node bench/year.ts [--days 364] [--rest 10] [--pack 900]
 *
 * The device sends every second while the pump runs and every `--rest` s else, a pack at least
 * `--pack` s long. The service is a process of its own: the memory is its alone.
 */
import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { parseArgs } from 'node:util';
import { CHANNELS } from '../src/model/reading.ts';
import { type RehearsedLog, rehearsedLog } from '../test/support/rehearsed-log.ts';
import { median } from './support/measured.ts';
import { PlainTable } from './support/plain-table.ts';
import type { Told } from './support/year-service.ts';

const DAY_S = 86_400;
const MONTH_S = 28 * DAY_S;
const ROUNDS = 5;
const UNITS = ['Pa', 'A'];
/** Tables, with their indices, that are told of one by one. */
const PARTS = ['chunk', 'summary', 'record', 'snapshot'];
/** Of one pack, as docs/limits.md bounds it. */
const MOST_RECORDS = 2000;

const { values } = parseArgs({
  options: {
    days: { type: 'string', default: '364' },
    rest: { type: 'string', default: '10' },
    pack: { type: 'string', default: '900' },
  },
});
const days = Number(values.days);
const packS = Number(values.pack);
if (!(days >= 1 && packS >= 1)) throw new Error('expected 1 or more of --days and --pack');

/** Where each pack begins and ends. */
function* packsOf({ timeS }: RehearsedLog): Iterable<[from: number, to: number]> {
  for (let from = 0, to = 0; from < timeS.length; from = to) {
    const isOf = (i: number) => timeS[i]! < timeS[from]! + packS || timeS[i] === timeS[i - 1];
    while (to < timeS.length && to - from < MOST_RECORDS && isOf(to)) to++;
    yield [from, to];
  }
}

/** Those that the unit starts the runtime with. */
function runtimeFlags(): string[] {
  const unit = join(import.meta.dirname, '..', 'deploy', 'wellwright.service');
  return readFileSync(unit, 'utf8').match(/--[a-z-]+=\d+/g) ?? [];
}

class YearService {
  readonly #child: ChildProcess;
  #told: Told = { port: 0, residentMb: 0, inUseMb: null };

  constructor(store: string, wellFile: string, fromS: number) {
    const path = join(import.meta.dirname, 'support', 'year-service.ts');
    const execArgv = [...runtimeFlags(), '--expose-gc'];
    this.#child = fork(path, [store, wellFile, String(fromS)], { execArgv });
  }

  async up(): Promise<void> {
    [this.#told] = await once(this.#child, 'message');
  }

  /** The clock goes on; resident memory once the wells have. */
  async goTo(nowS: number): Promise<number> {
    this.#child.send(nowS);
    await this.up();
    return this.#told.residentMb;
  }

  /** Memory in use once rubbish was collected. */
  async inUseMb(): Promise<number> {
    this.#child.send('collect');
    await this.up();
    return this.#told.inUseMb ?? NaN;
  }

  async ask(path: string, init?: RequestInit): Promise<string> {
    const response = await fetch(`http://127.0.0.1:${this.#told.port}/api/v1/${path}`, init);
    const body = await response.text();
    if (response.ok) return body;
    throw new Error(`${path}: expected an answer, found ${response.status} ${body}`);
  }

  async stop(): Promise<void> {
    this.#child.kill('SIGTERM');
    await once(this.#child, 'exit');
  }
}

/** By 28 days: most that was resident, and what was in use at their end. */
interface Memory {
  resident: number[];
  inUse: number[];
}

async function handIn(service: YearService, log: RehearsedLog): Promise<Memory> {
  const { timeS, channel, value } = log;
  const [resident, inUse]: [number[], number[]] = [[], []];
  let seq = 0;
  for (const [from, to] of packsOf(log)) {
    const records: object[] = [
      { n: 'boot', v: 1 },
      { n: 'seq', v: seq++ },
    ];
    for (let i = from; i < to; i++)
      records.push({ n: CHANNELS[channel[i]!], u: UNITS[channel[i]!], t: timeS[i], v: value[i] });
    const residentMb = await service.goTo(timeS[to - 1]! + 1);
    const month = Math.floor((timeS[from]! - timeS[0]!) / MONTH_S);
    if (month > inUse.length) inUse.push(await service.inUseMb());
    resident[month] = Math.max(resident[month] ?? 0, residentMb);
    const headers = { 'content-type': 'application/senml+json' };
    const body = JSON.stringify(records);
    const how = { method: 'POST', headers, body };
    const kept = JSON.parse(await service.ask(`wells/${log.well.id}/readings`, how));
    if (kept.accepted !== to - from)
      throw new Error(`pack ${seq}: expected ${to - from} accepted, found ${JSON.stringify(kept)}`);
  }
  inUse.push(await service.inUseMb());
  return { resident, inUse };
}

/** What the file's pages hold, bytes. */
function bytesOfTables(path: string): Record<string, number> {
  const db = new DatabaseSync(path, { readOnly: true });
  const rows = db.prepare('SELECT name, sum(pgsize) AS bytes FROM dbstat GROUP BY name').all();
  db.close();
  const sums: Record<string, number> = {};
  for (const { name, bytes } of rows as { name: string; bytes: number }[]) {
    const part = PARTS.find((one) => name.includes(one)) ?? 'other';
    sums[part] = (sums[part] ?? 0) + bytes;
  }
  return sums;
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  const taken: number[] = [];
  for (let i = 0; i < ROUNDS; i++) {
    const began = performance.now();
    await work();
    taken.push(performance.now() - began);
  }
  return median(taken);
}

async function plainTable(path: string, log: RehearsedLog): Promise<PlainTable> {
  const table = new PlainTable(path);
  for (const [from, to] of packsOf(log)) {
    const readings = {
      count: to - from,
      timeS: Float64Array.from(log.timeS.slice(from, to)),
      channel: Uint8Array.from(log.channel.slice(from, to)),
      value: Float64Array.from(log.value.slice(from, to)),
    };
    const of = { wellId: log.well.id, device: '', boot: 1, seq: 0, arrivedS: 0, refused: [] };
    await table.keep([{ ...of, readings }]);
  }
  return table;
}

const print = (what: string, figures: (number | null)[], unit: string): void => {
  const cells = figures.map((one) => (one === null ? '' : one.toPrecision(4)).padStart(12));
  process.stdout.write(`${what.padEnd(46)}${cells.join('')} ${unit}\n`);
};

const folder = mkdtempSync(join(tmpdir(), 'wellwright-year-'));
const path = (name: string) => join(folder, name);
try {
  const log = rehearsedLog({ letter: 'A', seed: 3, days, restS: Number(values.rest) });
  const { id } = log.well;
  const [firstS, endS] = [Math.floor(log.timeS[0]!), Math.ceil(log.timeS.at(-1)!) + 1];
  writeFileSync(path('well.toml'), log.toml);
  let service = new YearService(path('store.sqlite'), path('well.toml'), firstS);
  await service.up();
  const began = performance.now();
  const memory = await handIn(service, log);
  const tookS = (performance.now() - began) / 1000;
  process.stdout.write(`${days} days, ${log.timeS.length} readings over HTTP in packs of `);
  const list = (all: number[]) => `${all.map((mb) => mb.toFixed(0)).join(' ')}\n`;
  process.stdout.write(`${packS} s\nresident memory at most in each 28 days, MB: `);
  process.stdout.write(list(memory.resident));
  process.stdout.write(`in use at their end, rubbish collected, MB: ${list(memory.inUse)}`);
  print('taken, kept and analysed', [log.timeS.length / tookS], 'readings/s');

  const instant = (s: number) => new Date(s * 1000).toISOString();
  const spanOf = (from: number, to: number) => `from=${instant(from)}&to=${instant(to)}`;
  const stretches = (span: string) => `wells/${id}/readings?channel=pressure${span}`;
  const middleS = firstS + Math.floor(days / 2) * DAY_S;
  const ask = (what: string) => timed(() => service.ask(what));
  const told = JSON.parse(await service.ask(stretches('')));
  const counted = told.stretches.reduce(
    (sum: number, { count }: { count: number }) => sum + count,
    0,
  );
  if (2 * counted !== log.timeS.length) throw new Error(`stretches hold ${counted} readings`);
  const yearMs = await ask(stretches(''));
  const monthMs = await ask(stretches(`&${spanOf(endS - MONTH_S, endS)}`));
  const dayMs = await ask(`wells/${id}/log.csv?${spanOf(middleS, middleS + DAY_S)}`);
  const wellsMs = await ask('wells');
  const nowMs = await ask(`wells/${id}/now`);
  const studyMs = await ask(`wells/${id}/study`);
  await service.stop();
  const again = performance.now();
  service = new YearService(path('store.sqlite'), path('well.toml'), endS + 60);
  await service.up();
  const upMs = performance.now() - again;
  const afterMb = await service.goTo(endS + 61);
  await service.stop();

  const table = await plainTable(path('table.sqlite'), log);
  const plain = (fromS: number, toS: number, count: number) =>
    timed(() => table.buckets(id, 'pressure', { fromS, toS, count }));
  const plainYearMs = await plain(firstS, endS, told.stretches.length);
  const plainMonthMs = await plain(endS - MONTH_S, endS, 1500);
  const plainDayMs = await timed(async () => {
    for await (const _ of table.readings(id, middleS, middleS + DAY_S));
  });
  await table.close();
  const bytes = (name: string) => statSync(path(name)).size / log.timeS.length;
  process.stdout.write(`${'service'.padStart(58)}${'plain table'.padStart(12)}\n`);
  print(`the span in ${told.stretches.length} stretches`, [yearMs, plainYearMs], 'ms');
  print('the last 28 days in 1500 stretches', [monthMs, plainMonthMs], 'ms');
  print('a day raw, as CSV beside rows', [dayMs, plainDayMs], 'ms');
  print('all wells', [wellsMs, null], 'ms');
  print('how the well stands', [nowMs, null], 'ms');
  print('the whole study', [studyMs, null], 'ms');
  print('started again and at the present', [upMs, null], 'ms');
  print('resident memory after that', [afterMb, null], 'MB');
  print('bytes a reading', [bytes('store.sqlite'), bytes('table.sqlite')], '(all in the file)');
  for (const [part, sum] of Object.entries(bytesOfTables(path('store.sqlite'))))
    print(`  of them ${part}`, [sum / log.timeS.length, null], '');
} finally {
  rmSync(folder, { recursive: true });
}
