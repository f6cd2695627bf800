import { describe, expect, it } from 'vitest';
import { beforeTests, house } from '../../test/guided/house.ts';
import { feed, type RehearsedLog, rehearsedLog, wellOf } from '../../test/support/rehearsed-log.ts';
import { until } from '../../test/watch/until.ts';
import { Pipeline } from '../pipeline/pipeline.ts';
import { bucketEntry, testEntriesNow } from '../pipeline/tests.ts';
import type { GuidedTest } from './guides.ts';

interface Plan {
  table: string;
  /** When whoever makes it begins before the test as it is rehearsed, s. */
  beforeS: number;
  /** What of the result is held against the test as it was rehearsed. */
  told: string;
}

const PLANS: Record<GuidedTest, Plan> = {
  bucket: { table: 'bucket_test', beforeS: 30, told: 'tank constant' },
  isolation: { table: 'isolation_test', beforeS: 320, told: 'lost with the house valve shut' },
  precharge: { table: 'precharge_test', beforeS: 60, told: 'volume of the tank' },
  drain: { table: 'drain_test', beforeS: 200, told: 'precharge where the water ends' },
  fill: { table: 'fill_test', beforeS: 30, told: 'delivery half way' },
  throttle: { table: 'throttle_test', beforeS: 300, told: 'fall of delivery within the test' },
  recovery: { table: 'recovery_test', beforeS: 10, told: 'specific capacity' },
  sounding: { table: 'sounding', beforeS: 5, told: 'depth to water, pump resting' },
};

/** The readings, and the file with a bucket test before the one that is made. */
function logOf(test: GuidedTest): RehearsedLog {
  const { table } = PLANS[test];
  const tests = test === 'bucket' ? [] : [[table, 1.3] as [never, number]];
  return rehearsedLog({ letter: 'C', days: 1.6, seed: 61, restS: 5, bucketDays: [0.6], tests });
}

const lastBlock = (log: RehearsedLog, table: string): string =>
  log.toml.slice(log.toml.indexOf(`[[${table}]]`));
const figureOf = (block: string, key: string): string =>
  new RegExp(`${key} = "([^"]+)"`).exec(block)?.[1] ?? 'resting';

/** Makes a test as one would who does at once what is asked. */
async function make(test: GuidedTest) {
  const log = logOf(test);
  const { table, beforeS } = PLANS[test];
  const block = lastBlock(log, table);
  const startS = Date.parse(/start = (\S+)/.exec(block)![1]!) / 1000;
  const its = house(log, beforeTests(log.toml, table));
  const id = log.well.id;
  const flows = [...block.matchAll(/\["[^"]+", "([^"]+)"\]/g)].map(([, flow]) => flow!);
  await its.upTo(startS - beforeS);
  await its.guided.begin(id, test);
  for (let timeS = startS - beforeS + 10; ; ) {
    await its.upTo(timeS);
    const on = (await its.guided.on(id))!;
    expect(timeS, JSON.stringify(on.seen)).toBeLessThan(startS + 12_000);
    timeS += on.steps[on.step]?.watch === 'lasts' ? 60 : 10;
    for (const { key, isPoint } of on.asks)
      if (!isPoint && on.typed[key] === undefined)
        await its.guided.type(id, key, figureOf(block, key));
    const asksPoints = on.asks.some(({ isPoint }) => isPoint) && on.points.length < flows.length;
    // Each pressure stands for four minutes, and its flow was measured in the last two.
    if (asksPoints && (its.clock.s - startS) / 240 > on.points.length + 0.95)
      await its.guided.addPoint(id, flows[on.points.length]!);
    else if (!asksPoints && on.steps[on.step]?.watch === 'hand')
      await its.guided.confirm(id, on.step);
    const { state, missing } = (await its.guided.on(id))!;
    if (state !== 'on' && state !== 'readings' && missing.length === 0) break;
  }
  await until(async () => (await its.guided.on(id))?.state === 'judged');
  return { its, log, id, result: (await its.guided.on(id))!.result! };
}

/** What a study of the same readings says of a test of a file. */
function inStudy(log: RehearsedLog, toml: string, test: GuidedTest, untilS: number) {
  const pipeline = new Pipeline(wellOf(toml));
  feed(pipeline, log, 0, log.timeS.findLastIndex((timeS) => timeS <= untilS) + 1);
  pipeline.end();
  const startS = pipeline.well.bucketTests.at(-1)?.startS ?? NaN;
  return test === 'bucket'
    ? bucketEntry(pipeline, startS)!
    : testEntriesNow(pipeline).find((one) => one.test === test)!;
}

describe('a test made step by step', () => {
  for (const test of Object.keys(PLANS) as GuidedTest[])
    it(`${test}: gives what a study gives, and the same as by a watch`, async () => {
      const { its, log, id, result } = await make(test);
      const { table, told } = PLANS[test];
      await its.guided.keep(id, 'K');
      expect(its.file.text.match(new RegExp(`\\[\\[${table}\\]\\]`, 'g'))?.length).toBe(
        log.toml.match(new RegExp(`\\[\\[${table}\\]\\]`, 'g'))?.length,
      );
      const { unusable, found, bearing } = inStudy(log, its.file.text, test, its.clock.s);
      const { at, ...rest } = result;
      expect(rest).toEqual({ unusable, found, bearing });
      // As the rehearsed keeper wrote it down, by a watch of his own.
      const rehearsed = inStudy(log, log.toml, test, its.clock.s);
      expect(unusable).toBe(rehearsed.unusable);
      const of = (all: typeof found) => all.find(({ what }) => what === told);
      const [here, there] = [of(found), of(rehearsed.found)];
      expect(here === undefined).toBe(there === undefined);
      if (here !== undefined && there !== undefined)
        expect(Math.abs(here.value - there.value)).toBeLessThanOrEqual(there.std!);
      const [kept] = await its.guided.done(id);
      expect(kept).toMatchObject({ state: 'kept', test });
      expect(kept!.trace!.pressure.length).toBeGreaterThan(10);
    });
});
