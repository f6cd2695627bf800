import { describe, expect, it } from 'vitest';
import { Arrivals } from './arrivals.ts';

const T0 = 1_775_433_600;

describe('how far the analysis may go', () => {
  it('is two seconds back while readings come, and all of it once they pause', () => {
    const arrivals = new Arrivals();
    expect(arrivals.goalS(T0)).toBeNaN();
    arrivals.note(T0, T0 - 1, [T0 - 1]);
    expect(arrivals.goalS(T0)).toBe(T0 - 3);
    expect(arrivals.goalS(T0 + 2)).toBeGreaterThan(T0 - 1);
    expect(arrivals.goalS(T0 + 2)).toBeLessThan(T0 - 0.999);
  });

  it('stands further back where devices are out of step, and forgets it after two days', () => {
    const arrivals = new Arrivals();
    for (let s = 0; s < 600; s += 60) {
      arrivals.note(T0 + s, T0 + s - 30, [T0 + s - 30, T0 + s]);
      arrivals.note(T0 + s + 20, T0 + s - 40, [T0 + s - 40, T0 + s - 10]);
    }
    expect(arrivals.holdBackS).toBe(50);
    // A backlog is no step: it does not hold the present up.
    arrivals.note(T0 + 600, T0 - 86_400, [T0 - 86_400]);
    expect(arrivals.holdBackS).toBe(50);
    arrivals.note(T0 + 86_400, T0 + 86_400, [T0 + 86_400]);
    expect(arrivals.holdBackS).toBe(50);
    arrivals.note(T0 + 2 * 86_400, T0 + 2 * 86_400, [T0 + 2 * 86_400]);
    expect(arrivals.holdBackS).toBe(2);
  });

  it('never is ahead of the clock, and a reading that was has its turn later', () => {
    const arrivals = new Arrivals();
    arrivals.note(T0, T0 - 1, [T0 - 1, T0 + 3600]);
    expect(arrivals.newestS).toBe(T0 - 1);
    expect(arrivals.goalS(T0 + 1800)).toBeLessThan(T0);
    expect(arrivals.goalS(T0 + 3600)).toBeGreaterThan(T0 + 3599);
    const many = new Arrivals();
    many.note(
      T0,
      T0 + 1,
      Array.from({ length: 10_000 }, (_, i) => T0 + 1 + i),
    );
    many.goalS(T0 + 20_000);
    expect(many.newestS).toBe(T0 + 10_000);
  });

  it('gathers late readings until none has come for two seconds, or half a minute', () => {
    const arrivals = new Arrivals();
    expect(arrivals.isLateSettled(T0)).toBe(false);
    arrivals.noteLate(T0, T0 - 500);
    arrivals.noteLate(T0 + 1, T0 - 700);
    arrivals.noteLate(T0 + 2, T0 - 600);
    expect(arrivals.isLateSettled(T0 + 3)).toBe(false);
    expect(arrivals.isLateSettled(T0 + 4)).toBe(true);
    for (let s = 3; s <= 30; s++) arrivals.noteLate(T0 + s, T0 - 100);
    expect(arrivals.isLateSettled(T0 + 30)).toBe(true);
    expect(arrivals.takeLate()).toBe(T0 - 700);
    expect(arrivals.isLateSettled(T0 + 60)).toBe(false);
  });

  it('knows how far apart packs usually come, of a device that gathers them too', () => {
    const arrivals = new Arrivals();
    for (let k = 0; k < 3; k++) arrivals.note(T0 + 300 * k, T0 + 300 * k - 1, [T0 + 300 * k - 1]);
    expect(arrivals.usualPauseS).toBeNaN();
    for (let k = 3; k < 6; k++) {
      arrivals.note(T0 + 300 * k, T0 + 300 * k - 1, [T0 + 300 * k - 1]);
      arrivals.note(T0 + 300 * k + 0.2, T0 + 300 * k - 1, [T0 + 300 * k - 1]);
    }
    expect(arrivals.usualPauseS).toBeCloseTo(600, 0);
  });
});
