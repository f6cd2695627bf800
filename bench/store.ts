/**
 * What a year of readings takes in the store, and how fast it is told, beside a plain table of one
 * row a reading in the same database. docs/formats/store.md says what the figures mean.
 *
 *   node bench/store.ts [--days 364] [--rest 10] [--json] [--log <file>]...
 *
 * Four weeks of a rehearsed well, 1 s while the pump runs and `--rest` s else, again and again. Of
 * a `--log` with pressure and current in each row (docs/formats/logs.md) only the bytes a reading,
 * the log again and again as well.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { parseArgs } from 'node:util';
import { readLogs } from '../src/ingest/file/read-logs.ts';
import { CHANNELS } from '../src/model/reading.ts';
import type { Pack, ReadingStore } from '../src/ports/reading-store.ts';
import { SqliteStore } from '../src/store/sqlite/store.ts';
import { median } from './support/measured.ts';
import { PlainTable } from './support/plain-table.ts';
import { inTwelveBits, inTwoDecimals, type Rows, rehearsedRows } from './support/rehearsed-rows.ts';

const DAY_S = 86_400;
const WEEKS_DAYS = 28;
const ROWS_A_PACK = 30;
const PACKS_A_COMMIT = 20;
const BUCKETS = 1500;
const ROUNDS = 5;
const COMMITTING_S = 2;

const { values } = parseArgs({
  options: {
    days: { type: 'string', default: '364' },
    rest: { type: 'string', default: '10' },
    json: { type: 'boolean', default: false },
    log: { type: 'string', multiple: true, default: [] },
  },
});
const days = Number(values.days);
if (!(days >= 1)) throw new Error('--days: expected 1 or more');

type Side = ReadingStore & { seal?: (which: 'all') => Promise<void> };

function* packs(rows: Rows, forDays: number): Iterable<Pack> {
  let seq = 0;
  const periodS = Math.ceil((rows.timeS.at(-1)! + 1 - rows.startS) / DAY_S) * DAY_S;
  for (let shiftS = 0; ; shiftS += periodS)
    for (let at = 0; at < rows.timeS.length; at += ROWS_A_PACK) {
      const ofPack = rows.timeS.slice(at, at + ROWS_A_PACK).map((t) => t + shiftS);
      const timeS = ofPack.filter((t) => t < rows.startS + forDays * DAY_S);
      if (timeS.length === 0) return;
      const twice = (i: number) => i >> 1;
      const of = (i: number) => (i % 2 === 0 ? rows.pressurePa : rows.currentA)[at + twice(i)]!;
      const count = 2 * timeS.length;
      const indices = Array.from({ length: count }, (_, i) => i);
      yield {
        ...{ wellId: 'bench', device: '', boot: 1, seq: seq++, arrivedS: timeS.at(-1)! },
        readings: {
          count,
          timeS: Float64Array.from(indices, (i) => timeS[twice(i)]!),
          channel: Uint8Array.from(indices, (i) => i % 2),
          value: Float64Array.from(indices, of),
        },
        refused: [],
      };
    }
}

async function fill(store: Side, rows: Rows, forDays: number): Promise<number> {
  let readings = 0;
  let batch: Pack[] = [];
  for (const pack of packs(rows, forDays)) {
    readings += pack.readings.count;
    batch.push(pack);
    if (batch.length < PACKS_A_COMMIT) continue;
    await store.keep(batch);
    batch = [];
  }
  await store.keep(batch);
  await store.seal?.('all');
  return readings;
}

async function logRows(path: string): Promise<Rows> {
  const at = new Map<number, [number, number]>();
  const options = { columns: {}, timeZone: 'UTC', atmospherePa: 101_325 };
  await readLogs([path], options, ({ count, timeS, channel, value }) => {
    for (let i = 0; i < count; i++) {
      const row = at.get(timeS[i]!) ?? [Number.NaN, Number.NaN];
      row[channel[i]!] = value[i]!;
      at.set(timeS[i]!, row);
    }
  });
  const rows = [...at].filter(([, row]) => !row.some(Number.isNaN)).sort(([a], [b]) => a - b);
  return {
    startS: Math.floor(rows[0]![0] / DAY_S) * DAY_S,
    timeS: Float64Array.from(rows, ([timeS]) => timeS),
    pressurePa: Float64Array.from(rows, ([, row]) => row[0]),
    currentA: Float64Array.from(rows, ([, row]) => row[1]),
  };
}

/** Of readings that go on for so many days in a store of their own. */
async function bytesAReadingOf(path: string, rows: Rows, forDays: number): Promise<number> {
  const store = new SqliteStore(path);
  const readings = await fill(store, rows, forDays);
  await store.close();
  const bytes = bytesOf(path) / readings;
  rmSync(path);
  return bytes;
}

async function timed(work: () => Promise<unknown>, rounds = ROUNDS): Promise<number> {
  const taken: number[] = [];
  for (let i = 0; i < rounds; i++) {
    const began = performance.now();
    await work();
    taken.push(performance.now() - began);
  }
  return median(taken);
}

async function drain(store: ReadingStore, fromS: number): Promise<number> {
  let count = 0;
  for await (const batch of store.readings('bench', fromS, fromS + DAY_S)) count += batch.count;
  return count;
}

/** Small commits one after the other, each on the disk before the next. */
async function commitsPerS(store: ReadingStore): Promise<number> {
  const began = performance.now();
  let commits = 0;
  for (; performance.now() - began < 1000 * COMMITTING_S; commits++) {
    const timeS = Float64Array.of(1e9 + commits, 1e9 + commits);
    const readings = {
      count: 2,
      timeS,
      channel: Uint8Array.of(0, 1),
      value: Float64Array.of(1, 2),
    };
    const numbers = { boot: 2, seq: commits, arrivedS: 1e9 };
    await store.keep([{ wellId: 'other', device: '', ...numbers, readings, refused: [] }]);
  }
  return commits / COMMITTING_S;
}

/** The pages in use, nothing waiting in the log; those free for what comes next are left out. */
function bytesOf(path: string): number {
  const db = new DatabaseSync(path);
  db.exec('PRAGMA wal_checkpoint(TRUNCATE)');
  const number = (name: string) => Number(Object.values(db.prepare(`PRAGMA ${name}`).get()!)[0]);
  const bytes = (number('page_count') - number('freelist_count')) * number('page_size');
  db.close();
  return bytes;
}

interface Figures {
  readings: number;
  bytesAReading: number;
  keptPerS: number;
  yearInBucketsMs: number;
  yearInQuartersMs: number;
  dayRawMs: number;
  commitsPerS: number;
  mostMb: number;
}

async function measure(store: Side, path: string, rows: Rows): Promise<Figures> {
  const began = performance.now();
  const readings = await fill(store, rows, days);
  const fillS = (performance.now() - began) / 1000;
  const bytesAReading = bytesOf(path) / readings;
  const { startS } = rows;
  const span = { fromS: startS, toS: startS + days * DAY_S, count: BUCKETS };
  const buckets = () => store.buckets('bench', CHANNELS[0], span);
  const told = (await buckets()).reduce((sum, { count }) => sum + count, 0);
  if (2 * told !== readings) throw new Error(`buckets: expected ${readings / 2}, found ${told}`);
  const yearInBucketsMs = await timed(buckets);
  const quarters = { ...span, count: 4 * days };
  const yearInQuartersMs = await timed(() => store.buckets('bench', CHANNELS[0], quarters));
  const dayRawMs = await timed(() => drain(store, startS + Math.floor(days / 2) * DAY_S));
  const mostMb = process.resourceUsage().maxRSS / 1024;
  const keptPerS = readings / fillS;
  const commits = await commitsPerS(store);
  return {
    ...{ readings, bytesAReading, keptPerS, yearInBucketsMs, yearInQuartersMs, dayRawMs, mostMb },
    commitsPerS: commits,
  };
}

const folder = mkdtempSync(join(tmpdir(), 'wellwright-bench-'));
try {
  const restS = Number(values.rest);
  const rows = rehearsedRows({ days: WEEKS_DAYS, restS });
  const before = process.memoryUsage.rss() / (1 << 20);
  const path = (name: string) => join(folder, `${name}.sqlite`);
  const store = new SqliteStore(path('store'));
  const ours = await measure(store, path('store'), rows);
  await store.close();
  const bytes: Record<string, number> = {};
  const weigh = async (name: string, of: Rows, forDays: number) => {
    bytes[name] = await bytesAReadingOf(path('weighed'), of, forDays);
  };
  await weigh('rehearsed, two decimals of psi and A', inTwoDecimals(rows), days);
  await weigh('rehearsed, 12 bits', inTwelveBits(rows), days);
  for (const log of values.log) {
    const logged = await logRows(log);
    await weigh(basename(log), logged, days);
    await weigh(`${basename(log)}, 12 bits`, inTwelveBits(logged), days);
  }
  const table = new PlainTable(path('table'));
  const plain = await measure(table, path('table'), rows);
  await table.close();
  const all = { days, restS, memoryBeforeMb: before, bytes, store: ours, plainTable: plain };
  if (values.json) console.log(JSON.stringify(all));
  else {
    console.log(`${days} days, ${ours.readings} readings, 1 s running and ${restS} s at rest`);
    const line = (name: string, key: keyof Figures, digits: number) =>
      console.log(
        name.padEnd(34) +
          `${ours[key].toFixed(digits)}`.padStart(12) +
          `${plain[key].toFixed(digits)}`.padStart(12) +
          `${(plain[key] / ours[key]).toFixed(2)} x`.padStart(12),
      );
    console.log(`${'store'.padStart(46)}${'plain table'.padStart(12)}${'ratio'.padStart(12)}`);
    line('bytes a reading', 'bytesAReading', 3);
    line(`the span in ${BUCKETS} stretches, ms`, 'yearInBucketsMs', 1);
    line('the span in stretches of 6 h, ms', 'yearInQuartersMs', 1);
    line('a day raw, ms', 'dayRawMs', 1);
    line('readings kept a second', 'keptPerS', 0);
    line('small durable commits a second', 'commitsPerS', 0);
    for (const [name, each] of Object.entries(bytes))
      console.log(`${`bytes a reading, ${name}`.padEnd(52)}${each.toFixed(3)}`);
    console.log(
      `resident memory: ${before.toFixed(0)} MB before, ${ours.mostMb.toFixed(0)} at most`,
    );
  }
} finally {
  rmSync(folder, { recursive: true });
}
