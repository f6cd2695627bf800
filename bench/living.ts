/**
 * What it costs to keep a well alive: readings a second through a living well beside plain study
 * in the same run, the start again after a year, a day handed in late, snapshots by age.
 *
 *   node bench/living.ts [--days 365] [--live 14]
 *
 * Times are of the processor, but for the longest stretch. The log is that of the demo year, in the
 * store of the tests, which keeps all in memory: what a disk adds is measured with the store.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { gzipSync } from 'node:zlib';
import { readLogs } from '../src/ingest/file/read-logs.ts';
import { LivingWell } from '../src/living/living-well.ts';
import type { ReadingBatch } from '../src/model/reading.ts';
import { atmosphericPressurePa } from '../src/physics/air/atmospheric-pressure.ts';
import { Pipeline } from '../src/pipeline/pipeline.ts';
import { studyOf } from '../src/pipeline/result.ts';
import type { Pack } from '../src/ports/reading-store.ts';
import { parseWellFile } from '../src/wellfile/parse.ts';
import { SmallStore } from '../test/support/small-store.ts';

const { values } = parseArgs({
  options: { days: { type: 'string', default: '365' }, live: { type: 'string', default: '14' } },
});
const DAY_S = 86_400;
const demo = join(import.meta.dirname, '..', 'demo');
const parsed = parseWellFile(readFileSync(join(demo, 'juniper-bench.well.toml'), 'utf8'));
if (!parsed.ok) throw new Error(JSON.stringify(parsed.issues));
const { well } = parsed;

/** Readings of the demo in order of time. */
async function demoReadings(days: number): Promise<ReadingBatch> {
  const rows: [number, number, number][] = [];
  const atmospherePa = atmosphericPressurePa(well.altitudeM.value);
  const how = { timeZone: well.timeZone, atmospherePa, columns: well.logging.columns, asked: [] };
  await readLogs([join(demo, 'juniper-bench.csv.gz')], how, (batch) => {
    for (let i = 0; i < batch.count; i++)
      rows.push([batch.timeS[i]!, batch.channel[i]!, batch.value[i]!]);
  });
  rows.sort((a, b) => a[0] - b[0]);
  const untilS = rows[0]![0] + days * DAY_S;
  const used = rows.filter(([at]) => at < untilS);
  return {
    count: used.length,
    timeS: Float64Array.from(used, ([at]) => at),
    channel: Uint8Array.from(used, ([, channel]) => channel),
    value: Float64Array.from(used, ([, , value]) => value),
  };
}

const partOf = ({ timeS, channel, value }: ReadingBatch, from: number, to: number) => ({
  count: to - from,
  timeS: timeS.slice(from, to),
  channel: channel.slice(from, to),
  value: value.slice(from, to),
});
const packOf = (readings: ReadingBatch): Pack => {
  const of = { wellId: well.id, device: '', boot: null, seq: null, arrivedS: NaN };
  return { ...of, readings, refused: [] };
};
const indexOf = ({ timeS }: ReadingBatch, atS: number): number => {
  const found = timeS.findIndex((at) => at >= atS);
  return found < 0 ? timeS.length : found;
};

const clock = { s: 0, nowS: () => clock.s };
let sliceMs = 0;
let breathedMs = performance.now();
const breathe = async (): Promise<void> => {
  sliceMs = Math.max(sliceMs, performance.now() - breathedMs);
  await new Promise((resolve) => setImmediate(resolve));
  breathedMs = performance.now();
};
const living = (store: SmallStore): LivingWell =>
  new LivingWell(well, { store, clock, breathe, tell: () => undefined }, { codeVersion: 'bench' });

/** Processor time, which other work on the machine disturbs less, s. */
async function timed(work: () => Promise<unknown>): Promise<number> {
  const from = process.cpuUsage();
  await work();
  const { user, system } = process.cpuUsage(from);
  return (user + system) / 1e6;
}

const print = (what: string, value: number, unit: string): void =>
  void process.stdout.write(`${what.padEnd(62)}${value.toPrecision(4).padStart(12)} ${unit}\n`);

const all = await demoReadings(Number(values.days));
const endS = all.timeS.at(-1)!;
const liveTo = indexOf(all, all.timeS[0]! + Number(values.live) * DAY_S);

const plainS = await timed(async () => {
  const pipeline = new Pipeline(well);
  pipeline.take(partOf(all, 0, liveTo));
  pipeline.end();
  studyOf(pipeline, { setAside: [], told: [] });
});
const liveStore = new SmallStore();
const lively = living(liveStore);
const liveS = await timed(async () => {
  for (let at = 0; at < liveTo; at += 20) {
    const pack = packOf(partOf(all, at, Math.min(at + 20, liveTo)));
    clock.s = pack.readings.timeS.at(-1)! + 1;
    const [kept] = await liveStore.keep([pack]);
    lively.kept(pack, kept!);
    await lively.advance();
  }
});
print(`${values.live} days, ${liveTo} readings: plain study`, liveTo / plainS, 'readings/s');
print('  live, 20 readings a pack, all told after each', liveTo / liveS, 'readings/s');

// A day is missing that will be handed in late, and after it a day has passed.
const gapFrom = indexOf(all, endS - 2 * DAY_S);
const gapTo = indexOf(all, endS - DAY_S);
const store = new SmallStore();
await store.keep([packOf(partOf(all, 0, gapFrom)), packOf(partOf(all, gapTo, all.count))]);
clock.s = endS + 60;
sliceMs = 0;
breathedMs = performance.now();
const first = living(store);
const replayS = await timed(() => first.advance());
print(`${values.days} days read for the first time`, replayS, 's');
print('  of which', all.count / replayS, 'readings/s');
await first.close();
const again = living(store);
print('start again at the end of it', await timed(() => again.advance()), 's');
const pack = packOf(partOf(all, gapFrom, gapTo));
const [kept] = await store.keep([pack]);
again.kept(pack, kept!);
clock.s += 3;
print(
  `a day handed in late, ${pack.readings.count} readings`,
  await timed(() => again.advance()),
  's',
);
print('study on demand', await timed(() => again.study()), 's');
print('longest stretch without a breath, study included', sliceMs, 'ms');
process.stdout.write('\nsnapshots: age in days, MB as text, MB gzipped\n');
let sum = 0;
for (const { beforeS, madeBy } of await store.snapshots(well.id)) {
  const { state } = (await store.snapshotBefore(well.id, beforeS, madeBy))!;
  sum += state.length;
  const cells = [(endS - beforeS) / DAY_S, state.length / 1e6, gzipSync(state).length / 1e6];
  process.stdout.write(`${cells.map((n) => n.toFixed(2).padStart(9)).join('')}\n`);
}
print('all of them as text', sum / 1e6, 'MB');
