import { describe, expect, it } from 'vitest';
import { NOW_S } from '../../../test/support/intake.ts';
import type { Pack } from '../../ports/reading-store.ts';
import { MemoryStore } from '../../store/memory/store.ts';
import { Counters } from '../counters.ts';
import { limitsWith } from '../limits.ts';
import { apartOf, ClockWatch } from './clock-watch.ts';

const APART = apartOf('barn');

function pack(seq: number, arrivedS: number, timeS: number[], boot = 1): Pack {
  return {
    ...{ wellId: 'barn', device: 'd', boot, seq, arrivedS, refused: [] },
    readings: {
      count: timeS.length,
      timeS: Float64Array.from(timeS),
      channel: new Uint8Array(timeS.length),
      value: Float64Array.from(timeS, (_, i) => seq + i / 10),
    },
  };
}

/** Packs of two readings, 5 s apart, one every 10 s, by a clock that steps as told. */
function live(packs: number, clockOffS: (i: number) => number): Pack[] {
  return Array.from({ length: packs }, (_, i) => {
    const arrivedS = NOW_S + 10 * i;
    const byClockS = arrivedS + clockOffS(i);
    return pack(i, arrivedS, [byClockS - 5, byClockS]);
  });
}

async function watchWith(store = new MemoryStore()) {
  const counters = new Counters();
  const told: [device: string, behindS: number | null, apartUntil: string | null][] = [];
  const watch = await ClockWatch.open({
    ...{ store, counters, limits: limitsWith(), wells: ['barn'] },
    onClock: (_, device, clock) =>
      told.push([device, clock?.behindS ?? null, clock?.apartUntil ?? null]),
  });
  const apart: number[] = [];
  const take = async (one: Pack) => {
    const parts = watch.judge(one);
    await watch.save();
    const both = parts.apart === null ? [parts.ready] : [parts.ready, parts.apart];
    await store.keep(both);
    if (parts.apart !== null) apart.push(one.seq!);
  };
  return { store, counters, told, watch, apart, take };
}

async function kept(store: MemoryStore, wellId: string): Promise<number[]> {
  const times: number[] = [];
  for await (const batch of store.readings(wellId, -1e11, 1e11))
    times.push(...batch.timeS.subarray(0, batch.count));
  return times;
}

const iso = (timeS: number) => new Date(timeS * 1000).toISOString();

describe('a clock set back', () => {
  it('has its readings kept apart until it has passed where it was, and is told', async () => {
    const on = await watchWith();
    // Back by 1000 s with pack 30, right again with pack 60.
    const packs = live(100, (i) => (i >= 30 && i < 60 ? -1000 : 0));
    for (const one of packs) await on.take(one);
    const until = NOW_S + 290;
    // Told with the seventh pack, 60 s after the first of them.
    expect(on.apart).toEqual(Array.from({ length: 24 }, (_, i) => 36 + i));
    expect(on.told).toEqual([
      ['d', 1000, iso(until)],
      ['d', null, null],
    ]);
    expect(on.counters.of('clocks-set-back')).toBe(1);
    const main = await kept(on.store, 'barn');
    const apart = await kept(on.store, APART);
    expect([main.length, apart.length]).toEqual([200 - 48, 48]);
    expect([...main, ...apart].toSorted()).toEqual(
      packs.flatMap(({ readings }) => [...readings.timeS]).toSorted(),
    );
    expect(on.watch.wrong('barn')).toEqual([]);
    expect(on.watch.spells('barn')).toMatchObject([{ isOver: true, untilS: until }]);
  });

  it('catches up by itself: the pack that passes is parted reading by reading', async () => {
    const on = await watchWith();
    const packs = live(60, (i) => (i >= 30 ? -97 : 0));
    for (const one of packs) await on.take(one);
    // It had been at 290 s, which the last reading of pack 39 passes: 288 s, then 293 s.
    expect(on.apart).toEqual([36, 37, 38, 39]);
    expect(await kept(on.store, APART)).toHaveLength(7);
    expect(on.watch.spells('barn')).toMatchObject([{ isOver: true }]);
  });

  it('is known after any start, and what is sent again is not kept twice', async () => {
    const packs = live(120, (i) => (i >= 30 ? -2000 : 0));
    const store = new MemoryStore();
    let on = await watchWith(store);
    for (const [i, one] of packs.entries()) {
      await on.take(one);
      if (i > 40 && i % 3 === 0) on = await watchWith(store);
      // Those of which the answer was lost, and a retry of one long before.
      if (i > 2) for (const again of [i - 1, i, i >> 1]) await on.take(packs[again]!);
    }
    const both = [...(await kept(store, 'barn')), ...(await kept(store, APART))];
    expect(both.toSorted()).toEqual(
      packs.flatMap(({ readings }) => [...readings.timeS]).toSorted(),
    );
    expect(await kept(store, APART)).toHaveLength(2 * (120 - 36));
    expect(on.watch.wrong('barn')).toMatchObject([{ device: 'd', behindS: 2000 }]);
  });
});

describe('what is no clock set back', () => {
  it.each([
    ['in the order measured', (all: Pack[]) => all],
    ['the newest first', (all: Pack[]) => all.toReversed()],
    [
      'in any order',
      (all: Pack[]) => all.toSorted((a, b) => ((a.seq! * 37) % 101) - ((b.seq! * 37) % 101)),
    ],
  ])('a backlog that is numbered on when it is sent: %s', async (_, order) => {
    const on = await watchWith();
    const before = live(30, () => 0);
    const away = order(
      Array.from({ length: 90 }, (_, i) => pack(i, NaN, [NOW_S - 9000 + 10 * i])),
    ).map((one, i) => ({ ...one, seq: 30 + i, arrivedS: NOW_S + 300 + i }));
    const after = live(120, () => 0)
      .slice(40)
      .map((one) => ({ ...one, seq: one.seq! + 100 }));
    for (const one of [...before, ...away, ...after]) await on.take(one);
    expect([on.apart, on.told]).toEqual([[], []]);
  });

  it('packs of one time that hold a channel each, and steps within the disorder', async () => {
    const on = await watchWith();
    for (const one of live(60, (i) => (i % 2 === 0 ? 0 : -9))) await on.take(one);
    expect([on.apart, on.told]).toEqual([[], []]);
  });

  it('a clock that was ahead and is put right', async () => {
    const on = await watchWith();
    for (const one of live(120, (i) => (i < 30 ? 600 : 0))) await on.take(one);
    expect(on.apart).toEqual([]);
    expect(on.told).toEqual([
      ['d', -600, null],
      ['d', null, null],
    ]);
  });

  it('another boot, whose clock is wrong from the start: told, and believed', async () => {
    const on = await watchWith();
    for (const one of live(30, () => 0)) await on.take(one);
    for (const one of live(60, () => -5000).slice(30)) await on.take({ ...one, boot: 2 });
    expect(on.apart).toEqual([]);
    expect(on.watch.wrong('barn')).toEqual([
      { device: 'd', since: iso(NOW_S + 300), behindS: 5000, apartUntil: null },
    ]);
  });
});
