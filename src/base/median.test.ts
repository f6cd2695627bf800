import { describe, expect, it } from 'vitest';
import { median, middleAndWidth } from './median.ts';

describe('the middle of some values', () => {
  it('is between the two in the middle of an even number', () => {
    expect(median([3, 1, 2])).toBe(2);
    expect(median([4, 1, 2, 3])).toBe(2.5);
    expect(median([])).toBeNaN();
  });
  it('has a width that one wild value hardly moves', () => {
    // The deviations of 1 to 9 from 5 are 0, 1, 1, 2, 2, 3, 3, 4, 4: their median is 2.
    const values = [1, 2, 3, 4, 5, 6, 7, 8, 9];
    expect(middleAndWidth(values)).toEqual({ middle: 5, width: 1.4826 * 2 });
    expect(middleAndWidth([...values.slice(0, 8), 9000])).toEqual({ middle: 5, width: 1.4826 * 2 });
  });
});
