import { describe, expect, it } from 'vitest';
import {
  addWeakBin,
  createWeakRun,
  spellsOf,
  stepWeakRun,
  type WeakBin,
  wasWeak,
} from './weak-run.ts';

const HEALTHY = 0.3;

/** A run of some seconds, second by second: gas volume and amps as told by the caller. */
function run(
  seconds: number,
  volumeAt: (t: number) => number,
  ampsAt: (t: number) => number,
): { weak: ReturnType<typeof createWeakRun>; bins: WeakBin[] } {
  const weak = createWeakRun();
  const bins: WeakBin[] = [];
  for (let timeS = 0; timeS <= seconds; timeS++) {
    const bin = stepWeakRun(weak, {
      timeS,
      volume: volumeAt(timeS),
      std: 1e-5,
      currentA: ampsAt(timeS),
      expectedA: 8,
      healthyPerMin: HEALTHY,
    });
    if (bin !== null) bins.push(bin);
  }
  return { weak, bins };
}

const sum = (bins: WeakBin[]): number => bins.reduce((total, bin) => total + bin.pumped, 0);

describe('a weak run', () => {
  it('is none with the amps it should have', () => {
    const { weak, bins } = run(
      600,
      (t) => 1 - (0.3 * t) / 60,
      () => 7.9,
    );
    expect(bins.every((bin) => !bin.weak)).toBe(true);
    expect(wasWeak(weak)).toBe(false);
  });

  it('pumps what the gas shows, however little', () => {
    const { weak, bins } = run(
      600,
      (t) => 1 - (0.05 * t) / 60,
      () => 5,
    );
    expect(wasWeak(weak)).toBe(true);
    expect(bins.length).toBe(20);
    expect(sum(bins)).toBeCloseTo(0.5, 3);
  });

  it('never pumps more than a healthy pump', () => {
    const { bins } = run(
      120,
      (t) => 1 - (0.9 * t) / 60,
      () => 5,
    );
    expect(sum(bins)).toBeCloseTo(HEALTHY * 2, 6);
  });

  it('pumps nothing while pressure stands still', () => {
    const { weak, bins } = run(
      600,
      () => 1,
      () => 4,
    );
    expect(wasWeak(weak)).toBe(true);
    expect(sum(bins)).toBe(0);
  });

  it('goes on with what it last gave while people draw', () => {
    const { bins } = run(
      120,
      (t) => (t <= 60 ? 1 - (0.06 * t) / 60 : 0.94 + (0.2 * (t - 60)) / 60),
      () => 5,
    );
    expect(bins.length).toBe(4);
    expect(sum(bins.slice(0, 2))).toBeCloseTo(0.06, 4);
    expect(sum(bins.slice(2))).toBeCloseTo(0.06, 4);
  });

  it('takes half a minute of low amps, and a fifth of the time', () => {
    const steady = (): number => 1;
    expect(wasWeak(run(29, steady, () => 5).weak)).toBe(false);
    expect(wasWeak(run(30, steady, () => 5).weak)).toBe(true);
    expect(wasWeak(run(1200, steady, (t) => (t < 150 ? 5 : 8)).weak)).toBe(false);
    expect(wasWeak(run(1200, steady, (t) => (t < 600 ? 5 : 8)).weak)).toBe(true);
  });

  it('is not told by a clamp that is off its wire', () => {
    expect(
      wasWeak(
        run(
          600,
          () => 1,
          () => 0.1,
        ).weak,
      ),
    ).toBe(false);
  });

  it('has spells of low amps, but for a flicker or a curve that does not fit', () => {
    const steady = (): number => 1;
    const low = (fromS: number, toS: number, after = 8) =>
      spellsOf(run(300, steady, (t) => (t < fromS ? 8 : t < toS ? 6 : after)).weak);
    const [fromS, toS] = low(100, 400);
    expect(fromS).toBeGreaterThan(95);
    expect(fromS).toBeLessThan(110);
    expect(toS).toBe(300);
    expect(low(100, 104)).toEqual([]);
    expect(low(400, 500)).toEqual([]);
    expect(low(0, 60).length).toBe(2);
    expect(low(0, 60, 9.2)).toEqual([]);
  });

  it('delivers in doubt where the amps come back after it was weak', () => {
    const weak = createWeakRun();
    weak.weakS = 60;
    const bin = { minutes: 0.5, weak: false, moving: true, pumped: 0.01 };
    addWeakBin(weak, 6, bin, HEALTHY);
    expect(weak.byDay[0]!.strongDoubt).toBeCloseTo(HEALTHY / 2 - 0.01, 9);
  });

  it('knows its second fastest half minute, the first one left out', () => {
    const drops = [0.3, 0.05, 0.2, 0.1];
    const volume = (t: number): number =>
      1 - drops.reduce((sum, d, k) => sum + d * Math.max(0, Math.min(1, t / 30 - k)), 0) / 10;
    const { weak } = run(120, volume, () => 5);
    expect(weak.second).toBeCloseTo(0.02, 3);
  });

  it('is not told where amps are not seen or not yet known', () => {
    const steady = (): number => 1;
    expect(wasWeak(run(600, steady, () => NaN).weak)).toBe(false);
    const weak = createWeakRun();
    for (let timeS = 0; timeS < 600; timeS++)
      stepWeakRun(weak, {
        timeS,
        volume: 1,
        std: 1e-5,
        currentA: 5,
        expectedA: NaN,
        healthyPerMin: HEALTHY,
      });
    expect(wasWeak(weak)).toBe(false);
  });

  it('that crosses midnight is booked on both days', () => {
    const weak = createWeakRun();
    const bin = (isWeak: boolean): WeakBin => ({
      minutes: 0.5,
      weak: isWeak,
      moving: true,
      pumped: 0.01,
    });
    for (let k = 0; k < 4; k++) addWeakBin(weak, 6, bin(true), HEALTHY);
    for (let k = 0; k < 2; k++) addWeakBin(weak, 7, bin(true), HEALTHY);
    addWeakBin(weak, 7, bin(false), HEALTHY);
    expect(weak.byDay.map(({ day }) => day)).toEqual([6, 7]);
    expect(weak.byDay[0]!.weak).toBeCloseTo(0.04, 9);
    expect(weak.byDay[0]!.weakMin).toBe(2);
    expect(weak.byDay[1]!.weak).toBeCloseTo(0.02, 9);
    expect(weak.byDay[1]!.strong).toBeCloseTo(HEALTHY / 2, 9);
  });
});
