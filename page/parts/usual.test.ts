import { describe, expect, it } from 'vitest';
import { median } from '../../src/base/median.ts';
import { quantile, usualBand, usualOf } from './usual.ts';

describe('what is usual', () => {
  it('quantiles lie between neighbours by the line (Hyndman and Fan 1996, type 7)', () => {
    expect(median([3, 1, 2])).toBe(2);
    expect(median([4, 1, 2, 3])).toBe(2.5);
    expect(quantile([1, 2, 3, 4, 5], 0.1)).toBeCloseTo(1.4);
    expect(quantile([5, 4, 3, 2, 1], 0.9)).toBeCloseTo(4.6);
    expect(quantile([], 0.5)).toBeNaN();
  });
  it('one wild day does not widen the custom, and few days make none', () => {
    const days = [10, 11, 12, 10, 11, 12, 10, 11, 12, 11];
    const usual = usualOf(days)!;
    const wild = usualOf([...days, 1000])!;
    expect(wild.middle).toBe(usual.middle);
    expect(wild.width).toBeLessThan(3 * usual.width);
    expect(usualOf(days.slice(0, 5))).toBeNull();
    expect(usualBand(days.slice(0, 5))).toBeNull();
    expect(usualBand(days)).toEqual([10, 12]);
  });
});
