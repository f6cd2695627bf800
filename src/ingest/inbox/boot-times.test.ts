import { describe, expect, it } from 'vitest';
import type { Arrived } from '../../ports/reading-source.ts';
import type { BootTime, WaitingPack } from '../../ports/waiting-packs.ts';
import { Counters } from '../counters.ts';
import { type Limits, limitsWith } from '../limits.ts';
import { BootTimes } from './boot-times.ts';

const NOW_S = 1_775_433_600;
/** Milliseconds of 32 bits: 49 days, 17 hours, 2 minutes, 47.296 s. */
const WRAP_S = 49 * 86_400 + 17 * 3600 + 2 * 60 + 47.296;

function bench(limits: Partial<Limits> = {}, known: BootTime[] = [], waiting: WaitingPack[] = []) {
  const counters = new Counters();
  const times = new BootTimes({ limits: limitsWith(limits), counters }, known, waiting);
  const kept: WaitingPack[] = [...waiting];
  return {
    times,
    counters,
    kept,
    /** The time of its one reading, null where it waits. */
    take(arrived: Arrived): number | null {
      const timed = times.timed(arrived);
      if ('ready' in timed) return timed.ready.readings.timeS[0]!;
      times.noteWaiting(timed.waits);
      kept.push(timed.waits);
      return null;
    },
  };
}

function up(uptimeS: number, arrivedS: number, boot = 1): Arrived {
  return {
    wellId: 'barn',
    device: 'd',
    boot,
    seq: uptimeS,
    arrivedS,
    readings: {
      count: 1,
      timeS: Float64Array.of(uptimeS),
      channel: Uint8Array.of(0),
      value: Float64Array.of(1),
    },
    refused: [],
    uptimeS,
    bootBeganS: null,
  };
}

const anchor = (bootBeganS: number, boot = 1): Arrived => ({
  ...up(0, NOW_S, boot),
  uptimeS: null,
  bootBeganS,
});

describe('when a boot began', () => {
  it('is what one pack with a time and the counter says, for those before and after it', () => {
    const { times, take, kept } = bench();
    expect(take(up(10, NOW_S))).toBe(null);
    times.anchor(anchor(NOW_S - 400));
    const [boot] = times.due(NOW_S);
    expect(boot).toMatchObject({ boot: 1, beganS: NOW_S - 400, fromDevice: true });
    expect(times.atBoot(kept[0]!, boot!).readings.timeS[0]).toBe(NOW_S - 390);
    expect(times.due(NOW_S)).toHaveLength(1);
    times.noted(boot!);
    expect(take(up(20, NOW_S))).toBe(NOW_S - 380);
    times.anchor(anchor(NOW_S - 400.5));
    expect(times.due(NOW_S + 1e6)).toEqual([]);
    times.anchor(anchor(NOW_S - 500));
    expect(times.due(NOW_S)).toMatchObject([{ beganS: NOW_S - 500 }]);
  });
  it('stays what the device said where a pack of the same moment still waits', () => {
    const { times, take } = bench();
    const waits = times.timed(up(10, NOW_S));
    times.anchor(anchor(NOW_S));
    times.noted(times.due(NOW_S)[0]!);
    if ('waits' in waits) times.noteWaiting(waits.waits);
    expect(times.due(NOW_S)).toMatchObject([{ beganS: NOW_S, fromDevice: true }]);
    expect(take(up(20, NOW_S + 5))).toBe(NOW_S + 20);
  });
  it('is settled when packs came for 60 s that put it no earlier', () => {
    const { times, take } = bench();
    for (const [i, delayS] of [50, 20, 0, 0.1, 0.5].entries()) {
      const atS = NOW_S + i * 20;
      take(up(100 + i * 20 - delayS, atS));
      expect(times.due(atS)).toEqual([]);
    }
    take(up(200, NOW_S + 100));
    const [boot] = times.due(NOW_S + 100);
    expect(boot).toMatchObject({ beganS: NOW_S - 100, early: false });
    times.noted(boot!);
    expect(times.due(NOW_S + 100)).toEqual([]);
    expect(take(up(210, NOW_S + 111))).toBe(NOW_S + 110);
  });
  it('is settled after 600 s of silence, and where as many wait as may', () => {
    const quiet = bench();
    quiet.take(up(5, NOW_S));
    expect(quiet.times.due(NOW_S + 599)).toEqual([]);
    expect(quiet.times.due(NOW_S + 600)).toMatchObject([{ beganS: NOW_S - 5 }]);
    const soon = bench({ settleSilentS: 30, settleQuietS: 10 });
    soon.take(up(5, NOW_S));
    expect(soon.times.due(NOW_S + 30)).toMatchObject([{ beganS: NOW_S - 5 }]);
    const full = bench({ waitingPacksABoot: 2 });
    full.take(up(5, NOW_S));
    full.take(up(6, NOW_S + 1));
    expect(full.times.due(NOW_S + 1)).toMatchObject([{ early: true }]);
  });
  it('goes on falling, so that no reading is ahead of its arrival', () => {
    const { take } = bench({}, [
      { wellId: 'barn', device: 'd', boot: 1, beganS: NOW_S - 10, fromDevice: false },
    ]);
    expect(take(up(10, NOW_S - 3))).toBe(NOW_S - 3);
    expect(take(up(10, NOW_S + 3))).toBe(NOW_S - 3);
  });
  it('of a boot before another is settled with it, and lets it end before that began', () => {
    const { times, take } = bench();
    take(up(5000, NOW_S, 7));
    take(up(5100, NOW_S + 1, 7));
    take(up(40, NOW_S + 2, 8));
    expect(times.due(NOW_S + 500)).toEqual([]);
    take(up(101, NOW_S + 63, 8));
    const [later, earlier] = times.due(NOW_S + 63);
    expect(later).toMatchObject({ boot: 8, beganS: NOW_S - 38 });
    expect(earlier).toMatchObject({ boot: 7, beganS: NOW_S - 38 - 5100 });
  });
  it('is known again after a restart, and what waits goes on waiting', () => {
    const one = bench();
    one.take(up(100, NOW_S));
    one.take(up(130, NOW_S + 20));
    const again = bench({}, [], one.kept);
    again.take(up(191, NOW_S + 81));
    expect(again.times.due(NOW_S + 81)).toMatchObject([{ beganS: NOW_S - 110 }]);
  });
  it('holds on when the counter starts again after 49.7 days', () => {
    const began = NOW_S - WRAP_S + 100;
    const known = { wellId: 'barn', device: 'd', boot: 1, beganS: began, fromDevice: true };
    const { take } = bench({}, [known]);
    expect(take(up(WRAP_S - 200, NOW_S - 100))).toBeCloseTo(NOW_S - 100, 3);
    expect(take(up(5, NOW_S + 106))).toBeCloseTo(NOW_S + 105, 3);
    // A backlog from before it started again, and the time after two more rounds.
    expect(take(up(WRAP_S - 50, NOW_S + 300))).toBeCloseTo(NOW_S + 50, 3);
    expect(take(up(7, NOW_S + 110 + 2 * WRAP_S))).toBeCloseTo(NOW_S + 107 + 2 * WRAP_S, 3);
  });
  it('holds on when it starts again while packs wait', () => {
    const { times, take, kept } = bench();
    take(up(WRAP_S - 30, NOW_S));
    take(up(10, NOW_S + 40));
    take(up(40, NOW_S + 70));
    const [boot] = times.due(NOW_S + 70);
    const timesS = kept.map((pack) => times.atBoot(pack, boot!).readings.timeS[0]!);
    [0, 40, 70].forEach((s, i) => {
      expect(timesS[i]).toBeCloseTo(NOW_S + s, 3);
    });
  });
  it('is forgotten for the oldest of many boots', () => {
    const { times, counters, take } = bench({ bootsADevice: 3 });
    for (let boot = 0; boot < 5; boot++) times.anchor(anchor(NOW_S, boot));
    expect(counters.of('boots-forgotten')).toBe(2);
    expect(take(up(5, NOW_S + 5, 4))).toBe(NOW_S + 5);
    expect(take(up(5, NOW_S + 5, 0))).toBe(null);
  });
});
