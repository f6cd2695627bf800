import { expect, it } from 'vitest';
import { median } from './median.ts';
import { quantile } from './quantile.ts';

it('quantiles lie between neighbours by the line (Hyndman and Fan 1996, type 7)', () => {
  expect(median([3, 1, 2])).toBe(2);
  expect(median([4, 1, 2, 3])).toBe(2.5);
  expect(quantile([1, 2, 3, 4, 5], 0.1)).toBeCloseTo(1.4);
  expect(quantile([5, 4, 3, 2, 1], 0.9)).toBeCloseTo(4.6);
  expect(quantile([], 0.5)).toBeNaN();
});
