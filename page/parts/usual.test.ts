import { describe, expect, it } from 'vitest';
import { usualBand, usualOf } from './usual.ts';

describe('what is usual', () => {
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
