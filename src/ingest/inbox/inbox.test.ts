import { afterEach, describe, expect, it } from 'vitest';
import { type Intake, intakeWith, NOW_S, until } from '../../../test/support/intake.ts';
import { MemoryReadings } from '../../../test/support/memory-readings.ts';
import type { Arrived } from '../../ports/reading-source.ts';
import { type Kept, StoreRefuses } from '../../ports/reading-store.ts';

const open: Intake[] = [];
const start = async (...args: Parameters<typeof intakeWith>) => {
  const intake = await intakeWith(...args);
  open.push(intake);
  return intake;
};
afterEach(async () => {
  for (const { inbox } of open.splice(0)) await inbox.close();
});

function pack(seq: number, more: Partial<Arrived> = {}): Arrived {
  return {
    wellId: 'barn',
    device: 'd',
    boot: 1,
    seq,
    arrivedS: NOW_S + seq,
    readings: {
      count: 1,
      timeS: Float64Array.of(more.uptimeS ?? NOW_S + seq),
      channel: Uint8Array.of(0),
      value: Float64Array.of(seq),
    },
    refused: [],
    uptimeS: null,
    bootBeganS: null,
    ...more,
  };
}

/** A store whose commits wait until they are let go. */
function gated() {
  const store = new MemoryReadings();
  const gates: (() => void)[] = [];
  store.slow = () => new Promise<void>((resolve) => gates.push(resolve));
  return { store, gates };
}

describe('the inbox', () => {
  it('resolves nothing before it is kept, and gathers the next commit meanwhile', async () => {
    const { store, gates } = gated();
    const { inbox } = await start({}, { store });
    const done: number[] = [];
    const take = (seq: number) => inbox.take(pack(seq)).then(() => done.push(seq));
    const first = take(0);
    await until(() => gates.length === 1);
    const rest = [1, 2, 3].map(take);
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect(done).toEqual([]);
    expect(gates).toHaveLength(1);
    gates[0]!();
    await first;
    expect(done).toEqual([0]);
    await until(() => gates.length === 2);
    gates[1]!();
    await Promise.all(rest);
    expect(done).toEqual([0, 1, 2, 3]);
    expect(store.commits).toEqual([1, 3]);
  });

  it('holds no more packs than may be, by number and by size, and says so', async () => {
    for (const bound of [{ queuePacks: 3 }, { queueBytes: 3 * 217 }]) {
      const { store, gates } = gated();
      const { inbox, counters } = await start(bound, { store });
      const first = inbox.take(pack(0));
      await until(() => gates.length === 1);
      const taken = [1, 2, 3].map((seq) => inbox.take(pack(seq)));
      const queued = 'queuePacks' in bound ? taken : taken.slice(0, 2);
      expect(inbox.holds).toBe('full');
      await expect(inbox.take(pack(4))).rejects.toMatchObject({ why: 'full' });
      expect(counters.of('held-full')).toBe('queuePacks' in bound ? 1 : 2);
      let room = false;
      const waits = inbox.room().then(() => {
        room = true;
      });
      expect(room).toBe(false);
      taken[2]!.catch(() => undefined);
      gates[0]!();
      await until(() => gates.length === 2);
      gates[1]!();
      await Promise.all([first, ...queued, waits]);
      expect(inbox.holds).toBe(null);
    }
  });

  it('acknowledges nobody while the store refuses, says it once, and tries again', async () => {
    const store = new MemoryReadings();
    const said: (Error | null)[] = [];
    const { inbox, counters } = await start(
      { tryAgainS: 0.05 },
      { store, onTrouble: (trouble) => said.push(trouble) },
    );
    const full = new StoreRefuses('disk-full', 'no room');
    store.refuses = full;
    const results = await Promise.allSettled([0, 1, 2].map((seq) => inbox.take(pack(seq))));
    expect(results.map(({ status }) => status)).toEqual(Array(3).fill('rejected'));
    expect(inbox.holds).toBe('store-refuses');
    await expect(inbox.take(pack(3))).rejects.toMatchObject({ why: 'store-refuses' });
    await until(() => inbox.holds === null);
    await expect(inbox.take(pack(3))).rejects.toBe(full);
    store.refuses = null;
    await until(() => inbox.holds === null);
    expect(await inbox.take(pack(3))).toMatchObject({ accepted: 1 });
    await until(() => said.length === 2);
    expect(said).toEqual([full, null]);
    expect(counters.of('not-acknowledged')).toBe(4);
    expect(counters.of('held-store-refuses')).toBe(1);
    expect(store.packs.map(({ seq }) => seq)).toEqual([3]);
  });

  it('finds out by itself that the store takes again', async () => {
    const store = new MemoryReadings();
    const said: (Error | null)[] = [];
    let tries = 0;
    const tryWrite = () => {
      tries += 1;
      if (store.refuses !== null) throw store.refuses;
    };
    const { inbox } = await start(
      { tryAgainS: 0.05 },
      { store, tryWrite, onTrouble: (trouble) => said.push(trouble) },
    );
    const full = new StoreRefuses('disk-full', 'no room');
    store.refuses = full;
    await expect(inbox.take(pack(0))).rejects.toBe(full);
    await until(() => tries === 2);
    expect(said).toEqual([full]);
    store.refuses = null;
    await until(() => said.length === 2);
    expect(said).toEqual([full, null]);
    expect(store.packs).toEqual([]);
  });

  it('lets a pack that cannot be kept go alone, and keeps those beside it', async () => {
    const store = new MemoryReadings();
    const keep = store.keep.bind(store);
    store.keep = (packs) =>
      packs.some(({ seq }) => seq === 1) ? Promise.reject(new Error('a fault')) : keep(packs);
    const { inbox, counters } = await start({}, { store });
    const results = await Promise.allSettled([0, 1, 2].map((seq) => inbox.take(pack(seq))));
    expect(results.map(({ status }) => status)).toEqual(['fulfilled', 'rejected', 'fulfilled']);
    expect(counters.of('not-acknowledged')).toBe(1);
    expect(inbox.holds).toBe(null);
    expect(store.packs.map(({ seq }) => seq)).toEqual([0, 2]);
  });

  it('takes nothing while its clock is not set', async () => {
    const { inbox, clock, counters } = await start({}, { notBeforeS: NOW_S - 10 });
    clock.s = 12;
    await expect(inbox.take(pack(1))).rejects.toMatchObject({ why: 'clock-not-set' });
    expect(counters.of('held-clock-not-set')).toBe(1);
    clock.s = NOW_S;
    expect(await inbox.take(pack(1))).toMatchObject({ accepted: 1 });
  });

  it('closes once all that it took is kept, and takes nothing more', async () => {
    const { store, gates } = gated();
    const { inbox } = await start({}, { store });
    const taken = inbox.take(pack(0));
    await until(() => gates.length === 1);
    let closed = false;
    const closing = inbox.close().then(() => {
      closed = true;
    });
    await expect(inbox.take(pack(1))).rejects.toMatchObject({ why: 'closing' });
    expect(closed).toBe(false);
    gates[0]!();
    await Promise.all([taken, closing]);
    expect(store.packs).toHaveLength(1);
  });

  it('tells of each pack that is kept as readings, in order', async () => {
    const told: [number | null, Kept][] = [];
    const { inbox } = await start({}, { onKept: ({ seq }, kept) => told.push([seq, kept]) });
    await Promise.all([inbox.take(pack(1)), inbox.take(pack(0)), inbox.take(pack(1))]);
    expect(told).toEqual([
      [1, { accepted: 1, duplicate: 0, earliestS: NOW_S + 1 }],
      [0, { accepted: 1, duplicate: 0, earliestS: NOW_S }],
      [1, { accepted: 0, duplicate: 1, earliestS: Number.NaN }],
    ]);
  });
});

describe('a device without a clock', () => {
  const up = (seq: number, uptimeS: number, arrivedS: number, boot = 1) =>
    pack(seq, { boot, uptimeS, arrivedS });

  it('has packs kept before they are acknowledged, and readings once settled', async () => {
    const { inbox, store, clock, counters } = await start();
    // A backlog of 100 s, then what it sends at once: the last arrives 0.2 s after its reading.
    const began = NOW_S - 1000;
    const delaysS = [100, 50, 0.2, 0.3, 0.4, 0.5];
    for (const [i, delayS] of delaysS.entries()) {
      const uptimeS = 900 + i * 20;
      const arrivedS = began + uptimeS + delayS;
      clock.s = arrivedS;
      expect(await inbox.take(up(i, uptimeS, arrivedS))).toMatchObject({ accepted: 1 });
    }
    expect(counters.of('packs-waiting')).toBe(6);
    // The sixth came 60 s after the last news, so all of them are readings by now.
    await until(() => store.all().length === 6);
    const times = store.all().map(({ timeS }) => timeS - began);
    times.forEach((timeS, i) => {
      expect(timeS).toBeCloseTo(900 + i * 20 + 0.2, 6);
    });
    expect(await store.boots()).toMatchObject([{ boot: 1, fromDevice: false }]);
    expect(await store.waiting()).toEqual([]);
    expect(counters.of('readings')).toBe(6);
  });
});
