import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Bucket } from '../../src/ports/reading-store.ts';
import { stretchesOf } from '../../src/server/stretches.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { packOf } from '../contract/reading-store.contract.ts';
import type { Reading } from './all-readings.ts';

const HOUR_S = 3600;
const T0 = 1_775_433_600;
const HOURS = 60;

const hoursIn = fc.integer({ min: -2 * HOUR_S, max: (HOURS + 2) * HOUR_S }).map((s) => T0 + s);
const spans = fc
  .tuple(hoursIn, hoursIn, fc.integer({ min: 1, max: 90 }))
  .filter(([a, b]) => a !== b)
  .map(([a, b, most]) => ({ fromS: Math.min(a, b), toS: Math.max(a, b), most }));

describe('stretches of a span, at most so many', () => {
  it('are so many exactly, or whole hours where they would be longer than one', () => {
    fc.assert(
      fc.property(spans, ({ fromS, toS, most }) => {
        const told = stretchesOf({ fromS, toS }, most);
        const eachS = (told.toS - told.fromS) / told.count;
        if (toS - fromS <= most * HOUR_S) expect(told).toEqual({ fromS, toS, count: most });
        else {
          expect(told.count).toBeLessThanOrEqual(most);
          expect([told.fromS % HOUR_S, eachS % HOUR_S]).toEqual([0, 0]);
          expect(told.fromS).toBeLessThanOrEqual(fromS);
          expect(told.fromS + HOUR_S).toBeGreaterThan(fromS);
          expect(told.toS).toBeGreaterThanOrEqual(toS);
          expect(told.toS - eachS).toBeLessThan(toS);
          const [hours, whole] = [eachS / HOUR_S, Math.ceil(toS / HOUR_S) - told.fromS / HOUR_S];
          expect((hours - 1) * most).toBeLessThan(whole);
        }
      }),
    );
  });

  it('of a year, by hand', () => {
    const year = { fromS: T0 + 60, toS: T0 + 364 * 24 * HOUR_S + 60 };
    const told = { fromS: T0, toS: T0 + 1457 * 6 * HOUR_S, count: 1457 };
    expect(stretchesOf(year, 1500)).toEqual(told);
  });
});

describe('stretches from the store', () => {
  let folder: string;
  let store: SqliteStore;
  let all: Reading[];
  beforeEach(async () => {
    folder = mkdtempSync(join(tmpdir(), 'wellwright-stretches-'));
    store = new SqliteStore(join(folder, 'store.sqlite'));
    all = [];
    for (let hour = 0; hour < HOURS; hour++) {
      await keep(hour * HOUR_S, 12);
      // A device that was away hands in half an hour of the hours before last.
      if (hour % 7 === 6) await keep((hour - 5) * HOUR_S + 1001.5, 6);
    }
  });
  afterEach(async () => {
    await store.close();
    rmSync(folder, { recursive: true });
  });

  async function keep(fromS: number, count: number): Promise<void> {
    const readings = Array.from({ length: count }, (_, i): Reading => {
      const at = T0 + fromS + i * 297;
      return [at, i % 3 === 0 ? 1 : 0, 300_000 + ((at * 7919) % 99_991)];
    });
    all.push(...readings);
    await store.keep([packOf(readings)]);
  }

  function byForce({ fromS, toS, count }: ReturnType<typeof stretchesOf>): Bucket[] {
    return Array.from({ length: count }, (_, i) => {
      const startS = fromS + ((toS - fromS) * i) / count;
      const endS = fromS + ((toS - fromS) * (i + 1)) / count;
      const inside = all.filter(([t, channel]) => channel === 0 && t >= startS && t < endS);
      const values = inside.map(([, , value]) => value);
      if (values.length === 0)
        return { fromS: startS, count: 0, least: null, greatest: null, mean: null };
      return {
        ...{ fromS: startS, count: values.length },
        ...{ least: Math.min(...values), greatest: Math.max(...values) },
        mean: values.reduce((sum, v) => sum + v, 0) / values.length,
      };
    });
  }

  async function expectSame(span: ReturnType<typeof stretchesOf>): Promise<void> {
    const told = await store.buckets('ridge', 'pressure', span);
    const expected = byForce(span);
    expect(told.map(({ mean, ...rest }) => rest)).toEqual(
      expected.map(({ mean, ...rest }) => rest),
    );
    for (const [i, { mean }] of told.entries()) {
      if (mean === null) expect(expected[i]!.mean).toBeNull();
      else expect(Math.abs(mean / expected[i]!.mean! - 1)).toBeLessThan(1e-12);
    }
  }

  it('are what the readings themselves give, late ones among them', async () => {
    const ask = fc.asyncProperty(spans, ({ most, ...span }) => expectSame(stretchesOf(span, most)));
    await fc.assert(ask, { numRuns: 60 });
  });

  it('of whole hours stay the same once raw readings were dropped, before and after', async () => {
    await store.dropRawBefore('ridge', T0 + 33.7 * HOUR_S);
    await keep(34 * HOUR_S + 5, 4);
    const whole = spans.filter(({ fromS, toS, most }) => toS - fromS > most * HOUR_S);
    const ask = fc.asyncProperty(whole, ({ most, ...span }) => expectSame(stretchesOf(span, most)));
    await fc.assert(ask, { numRuns: 60 });
  });

  it('of whole hours need no reading looked at', async () => {
    await store.seal('all');
    const db = new DatabaseSync(join(folder, 'store.sqlite'));
    db.exec("UPDATE chunk SET readings = x'00'");
    db.close();
    const span = { fromS: T0 + 17, toS: T0 + HOURS * HOUR_S };
    await expectSame(stretchesOf(span, 59));
    await expect(store.buckets('ridge', 'pressure', { ...span, count: 61 })).rejects.toThrow();
  });
});
