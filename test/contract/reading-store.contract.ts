import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { CHANNELS } from '../../src/model/reading.ts';
import type { Kept, Pack, ReadingStore } from '../../src/ports/reading-store.ts';
import { allReadings, type Reading } from '../store/all-readings.ts';

/** A store under test, and what it may do at any moment without anyone seeing a difference. */
export interface StoreUnderTest {
  store: ReadingStore;
  /** Tidies up by itself: seals, say. */
  settle(): Promise<void>;
  /** Another store on the same data, the first one closed; the same where nothing outlives it. */
  reopened(): Promise<ReadingStore>;
  remove(): Promise<void>;
}

const HOUR_S = 3600;
const T0 = 1_775_433_600;
const FOREVER: [number, number] = [-1e11, 1e11];

export function packOf(readings: Reading[], more: Partial<Pack> = {}): Pack {
  return {
    wellId: 'ridge',
    device: '',
    boot: null,
    seq: null,
    arrivedS: T0,
    readings: {
      count: readings.length,
      timeS: Float64Array.from(readings, ([timeS]) => timeS),
      channel: Uint8Array.from(readings, ([, channel]) => channel),
      value: Float64Array.from(readings, ([, , value]) => value),
    },
    refused: [],
    ...more,
  };
}

/** What the port says, written down plainly: lists gone through from end to end. */
class NaiveModel {
  kept: { pack: Pack; reading: Reading }[] = [];
  packs: Pack[] = [];

  keep(pack: Pack): Kept {
    const { wellId, device, boot, seq, readings } = pack;
    const numbered = boot !== null && seq !== null;
    const sameDevice = (one: Pack) => one.wellId === wellId && one.device === device;
    const again =
      numbered && this.packs.some((one) => sameDevice(one) && one.boot === boot && one.seq === seq);
    this.packs.push(pack);
    const fresh: Reading[] = [];
    let duplicate = 0;
    for (let i = 0; i < readings.count; i++) {
      const reading: Reading = [readings.timeS[i]!, readings.channel[i]!, readings.value[i]!];
      const there = this.kept.some(
        (one) =>
          sameDevice(one.pack) && one.reading[0] === reading[0] && one.reading[1] === reading[1],
      );
      if (again || (!numbered && there)) duplicate++;
      else {
        fresh.push(reading);
        this.kept.push({ pack, reading });
      }
    }
    const earliestS = fresh.length === 0 ? Number.NaN : Math.min(...fresh.map(([t]) => t));
    return { accepted: fresh.length, duplicate, earliestS };
  }

  readings(wellId: string, fromS: number, toS: number): Reading[] {
    return this.kept
      .filter(({ pack, reading: [t] }) => pack.wellId === wellId && t >= fromS && t < toS)
      .map(({ reading }) => reading)
      .sort(([a], [b]) => a - b);
  }
}

/** Values as devices send them: decimals, steps of a converter, zero of either sign, anything. */
const values = fc.oneof(
  fc.integer({ min: -500, max: 6000 }).map((n) => n / 100),
  fc.integer({ min: 0, max: 4095 }).map((n) => n * 168.2743),
  fc.constantFrom(0, -0, 293.15, 5e-324, 1.7e308, 9_007_199_254_740_991),
  fc.double({ noNaN: true, noDefaultInfinity: true }),
);
const times = fc.oneof(
  { weight: 6, arbitrary: fc.integer({ min: 0, max: 5 * HOUR_S }).map((n) => T0 + n) },
  { weight: 3, arbitrary: fc.constantFrom(T0, T0 + HOUR_S, T0 + 2 * HOUR_S - 0.001) },
  { weight: 1, arbitrary: fc.integer({ min: 0, max: 9e6 }).map((n) => T0 + n / 1000) },
  { weight: 1, arbitrary: fc.double({ min: -4e9, max: 4e9, noNaN: true }) },
);
const readings = fc.array(fc.tuple(times, fc.integer({ min: 0, max: 2 }), values), {
  maxLength: 12,
});
const numbers = fc.oneof(
  fc.constant({ boot: null, seq: null }),
  fc.record({ boot: fc.integer({ min: 1, max: 2 }), seq: fc.integer({ min: 0, max: 9 }) }),
);
const packs = fc
  .record({
    wellId: fc.constantFrom('ridge', 'creek'),
    device: fc.constantFrom('', 'tee'),
    numbers,
    readings,
  })
  .map(({ readings, numbers, ...more }) => packOf(readings, { ...more, ...numbers }));
const steps = fc.array(
  fc.oneof(
    { weight: 5, arbitrary: fc.array(packs, { minLength: 1, maxLength: 4 }) },
    { weight: 2, arbitrary: fc.constant('settle' as const) },
    { weight: 1, arbitrary: fc.constant('reopen' as const) },
  ),
  { maxLength: 12 },
);

/** Every adapter of the port passes this. */
export function readingStoreContract(name: string, make: () => Promise<StoreUnderTest>): void {
  describe(`${name}, as every reading store`, () => {
    let test: StoreUnderTest;
    beforeEach(async () => {
      test = await make();
    });
    afterEach(async () => {
      await test.remove();
    });

    it('holds what the model holds, whatever comes in whatever order', async () => {
      await fc.assert(
        fc.asyncProperty(steps, fc.tuple(times, times), async (taken, [a, b]) => {
          const mine = await make();
          const model = new NaiveModel();
          let { store } = mine;
          try {
            for (const step of taken) {
              if (step === 'settle') await mine.settle();
              else if (step === 'reopen') store = await mine.reopened();
              else {
                const expected = step.map((pack) => model.keep(pack));
                expect(await store.keep(step)).toEqual(expected);
              }
            }
            for (const well of ['ridge', 'creek']) {
              const all = model.readings(well, ...FOREVER);
              expect(await allReadings(store, well)).toEqual(all);
              const some: [number, number] = [Math.min(a, b), Math.max(a, b)];
              expect(await allReadings(store, well, some)).toEqual(model.readings(well, ...some));
            }
          } finally {
            await mine.remove();
          }
        }),
        { numRuns: 30 },
      );
    });

    it('tells least, greatest and mean of stretches as the readings themselves do', async () => {
      const span = fc.record({
        fromS: fc.integer({ min: -HOUR_S, max: 3 * HOUR_S }).map((n) => T0 + n),
        lengthS: fc.integer({ min: 1, max: 8 * HOUR_S }),
        count: fc.integer({ min: 1, max: 40 }),
      });
      await fc.assert(
        fc.asyncProperty(fc.array(packs, { maxLength: 8 }), span, async (given, asked) => {
          const mine = await make();
          try {
            for (const [i, pack] of given.entries()) {
              await mine.store.keep([pack]);
              if (i % 3 === 1) await mine.settle();
            }
            const { fromS, lengthS, count } = asked;
            const toS = fromS + lengthS;
            const all = await allReadings(mine.store, 'ridge', [fromS, toS]);
            const told = await mine.store.buckets('ridge', 'current', { fromS, toS, count });
            expect(told).toHaveLength(count);
            for (const [i, bucket] of told.entries()) {
              expect(bucket.fromS).toBeCloseTo(fromS + (i * lengthS) / count, 5);
              const endS = told[i + 1]?.fromS ?? toS;
              const inside = all
                .filter(([t, c]) => CHANNELS[c] === 'current' && t >= bucket.fromS && t < endS)
                .map(([, , value]) => value);
              expect(bucket.count).toBe(inside.length);
              if (inside.length === 0) {
                expect([bucket.least, bucket.greatest, bucket.mean]).toEqual([null, null, null]);
                continue;
              }
              expect(bucket.least).toBe(Math.min(...inside) + 0);
              expect(bucket.greatest).toBe(Math.max(...inside) + 0);
              const mean = inside.reduce((sum, v) => sum + v, 0) / inside.length;
              const size = inside.reduce((sum, v) => sum + Math.abs(v), 0) / inside.length;
              if (Number.isFinite(size))
                expect(Math.abs(bucket.mean! - mean)).toBeLessThanOrEqual(1e-12 * size);
            }
          } finally {
            await mine.remove();
          }
        }),
        { numRuns: 25 },
      );
    });

    it('gives back the very same doubles, settled and reopened', async () => {
      const odd = [0.1, -0, 0, 1 / 3, 5e-324, 1.7e308, 2 ** 53, 58.45 * 6894.757293168361];
      const sent = odd.map((value, i): Reading => [T0 + i / 3, 0, value]);
      await test.store.keep([packOf(sent)]);
      await test.settle();
      const back = await allReadings(await test.reopened(), 'ridge');
      expect(back).toHaveLength(sent.length);
      for (const [i, [timeS, , value]] of back.entries()) {
        expect(Object.is(timeS, sent[i]![0])).toBe(true);
        expect(Object.is(value, sent[i]![2]), `${value} for ${sent[i]![2]}`).toBe(true);
      }
    });

    it('drops a pack sent twice, in one batch or years later, with its refused ones', async () => {
      const pack = packOf([[T0, 0, 1]], {
        ...{ device: 'tee', boot: 3, seq: 7 },
        refused: [{ index: 1, code: 'wrong-unit' }],
      });
      const [first, second] = await test.store.keep([pack, pack]);
      expect(first).toEqual({ accepted: 1, duplicate: 0, earliestS: T0 });
      expect(second).toEqual({ accepted: 0, duplicate: 1, earliestS: Number.NaN });
      await test.settle();
      const store = await test.reopened();
      const later = packOf([[T0 + 1, 0, 2]], {
        device: 'tee',
        boot: 3,
        seq: 7,
        arrivedS: T0 + 1e8,
      });
      expect(await store.keep([later])).toEqual([second]);
      expect(await allReadings(store, 'ridge')).toEqual([[T0, 0, 1]]);
      expect(await store.counters('ridge')).toEqual({
        ...{ accepted: 1, duplicate: 2 },
        refused: { 'wrong-unit': 1 },
      });
      expect(await store.refused('ridge', 10)).toEqual([
        { device: 'tee', boot: 3, seq: 7, arrivedS: T0, index: 1, code: 'wrong-unit' },
      ]);
    });

    it('keeps two of one number where device or boot differ', async () => {
      const one = { device: 'tee', boot: 1, seq: 1 };
      const kept = await test.store.keep([
        packOf([[T0, 0, 1]], one),
        packOf([[T0, 0, 2]], { ...one, boot: 2 }),
        packOf([[T0, 0, 3]], { ...one, device: 'house' }),
        packOf([[T0, 0, 4]], { ...one, wellId: 'creek' }),
      ]);
      expect(kept.map(({ accepted }) => accepted)).toEqual([1, 1, 1, 1]);
      expect(await allReadings(test.store, 'ridge')).toEqual([
        [T0, 0, 1],
        [T0, 0, 2],
        [T0, 0, 3],
      ]);
    });

    it('keeps a refused pack without readings', async () => {
      const pack = packOf([], { refused: [{ index: 0, code: 'not-a-record' }] });
      const [kept] = await test.store.keep([pack]);
      expect(kept).toEqual({ accepted: 0, duplicate: 0, earliestS: Number.NaN });
      const store = await test.reopened();
      expect((await store.counters('ridge')).refused).toEqual({ 'not-a-record': 1 });
      expect(await store.wells()).toEqual([]);
    });

    it('takes none of a batch with a pack that breaks the port', async () => {
      const broken = packOf([[Number.NaN, 0, 1]]);
      await expect(test.store.keep([packOf([[T0, 0, 1]]), broken])).rejects.toThrow(/time of use/);
      await expect(test.store.keep([packOf([[T0, 99, 1]])])).rejects.toThrow(/channel/);
      expect(await allReadings(test.store, 'ridge')).toEqual([]);
    });

    it('lists wells with their span', async () => {
      await test.store.keep([
        packOf([
          [T0 + 5, 0, 1],
          [T0 - HOUR_S, 1, 2],
        ]),
        packOf([[T0, 0, 1]], { wellId: 'creek' }),
      ]);
      await test.settle();
      await test.store.keep([packOf([[T0 + 9, 0, 1]])]);
      expect(await test.store.wells()).toEqual([
        { wellId: 'creek', firstS: T0, lastS: T0, readings: 1, rawFromS: null },
        { wellId: 'ridge', firstS: T0 - HOUR_S, lastS: T0 + 9, readings: 3, rawFromS: null },
      ]);
    });

    it('knows nothing of a well never heard of', async () => {
      const { store } = test;
      expect(await allReadings(store, 'none')).toEqual([]);
      expect(await store.counters('none')).toEqual({ accepted: 0, duplicate: 0, refused: {} });
      expect(await store.snapshotBefore('none', T0, 'v1')).toBeNull();
      expect(await store.records('none', 'run', ...FOREVER)).toEqual([]);
      const [bucket] = await store.buckets('none', 'flow', { fromS: 0, toS: 1, count: 1 });
      expect(bucket).toEqual({ fromS: 0, count: 0, least: null, greatest: null, mean: null });
      await expect(store.buckets('none', 'flow', { fromS: 1, toS: 1, count: 1 })).rejects.toThrow(
        RangeError,
      );
    });

    it('finds the latest snapshot that has taken nothing later', async () => {
      const { store } = test;
      const snapshot = (beforeS: number, state: string, madeBy = 'v1') => ({
        ...{ wellId: 'ridge', beforeS, madeBy, state },
      });
      for (const one of [snapshot(10, 'a'), snapshot(30, 'c'), snapshot(20, 'b')])
        await store.keepSnapshot(one);
      await store.keepSnapshot(snapshot(25, 'other', 'v2'));
      expect(await store.snapshotBefore('ridge', 29.9, 'v1')).toEqual(snapshot(20, 'b'));
      expect(await store.snapshotBefore('ridge', 30, 'v1')).toEqual(snapshot(30, 'c'));
      expect(await store.snapshotBefore('ridge', 9, 'v1')).toBeNull();
      await store.keepSnapshot(snapshot(20, 'b again ü'));
      await store.dropSnapshotsAfter('ridge', 20);
      const again = await test.reopened();
      expect(await again.snapshotBefore('ridge', 1e9, 'v1')).toEqual(snapshot(20, 'b again ü'));
      expect(await again.snapshotBefore('ridge', 1e9, 'v2')).toBeNull();
    });

    it('lists snapshots without their states, and drops those it is told to', async () => {
      const { store } = test;
      const one = (beforeS: number, madeBy: string) => ({ beforeS, madeBy });
      for (const [beforeS, madeBy] of [
        [30, 'v1'],
        [10, 'v1'],
        [30, 'v2'],
      ] as const)
        await store.keepSnapshot({ wellId: 'ridge', beforeS, madeBy, state: 'any' });
      expect(await store.snapshots('ridge')).toEqual([one(10, 'v1'), one(30, 'v1'), one(30, 'v2')]);
      await store.dropSnapshots('ridge', [one(30, 'v1'), one(20, 'v1')]);
      expect(await store.snapshots('ridge')).toEqual([one(10, 'v1'), one(30, 'v2')]);
      expect(await store.snapshots('barn')).toEqual([]);
    });

    it('counts the readings kept before an instant, settled or not', async () => {
      const { store } = test;
      const times = [0, 0.5, 1800, 3599.75, 3600, 3600, 7200.25, 40_000].map((t) => T0 + t);
      const second = times.map((t): Reading => [t, 1, 5]);
      await store.keep([
        packOf(
          times.map((t): Reading => [t, 0, 1]),
          { boot: 1, seq: 1 },
        ),
      ]);
      for (const settled of [false, true]) {
        if (settled) {
          await test.settle();
          await store.keep([packOf(second, { boot: 1, seq: 2 })]);
        }
        for (const t of [-1, 0, 0.25, 1800, 3600, 3600.5, 7200, 7201, 40_000, 50_000]) {
          const earlier = times.filter((one) => one < T0 + t).length;
          const kept = await store.keptBefore('ridge', T0 + t);
          expect(kept, `${t}`).toBe(earlier * (settled ? 2 : 1));
        }
      }
      expect(await store.keptBefore('never', T0)).toBe(0);
    });

    it('puts records anew from an instant on, each kind and well for itself', async () => {
      const { store } = test;
      const record = (id: string, atS: number, body: unknown) => ({ id, atS, body });
      const deep = { a: [1, null, 'x'], b: { nan: Number.NaN, zero: -0 } };
      await store.putRecords('ridge', 'run', 0, [record('2', 20, deep), record('1', 10, 'one')]);
      await store.putRecords('ridge', 'day', 0, [record('1', 10, 'day')]);
      await store.putRecords('creek', 'run', 0, [record('1', 10, 'creek')]);
      await store.putRecords('ridge', 'run', 20, [record('3', 30, 3), record('1', 25, 'moved')]);
      const again = await test.reopened();
      expect(await again.records('ridge', 'run', 0, 100)).toEqual([
        record('1', 25, 'moved'),
        record('3', 30, 3),
      ]);
      expect(await again.records('ridge', 'run', 25, 30)).toEqual([record('1', 25, 'moved')]);
      expect(await again.records('ridge', 'day', 0, 100)).toEqual([record('1', 10, 'day')]);
      expect(await again.records('creek', 'run', 0, 100)).toEqual([record('1', 10, 'creek')]);
      await again.putRecords('ridge', 'run', 0, [record('9', 9, deep)]);
      expect(await again.records('ridge', 'run', 0, 100)).toEqual([record('9', 9, deep)]);
    });
  });
}
