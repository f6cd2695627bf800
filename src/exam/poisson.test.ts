import cephes from 'cephes';
import { describe, expect, it } from 'vitest';
import { poissonUpperBound } from './poisson.ts';

/**
 * Upper limits of the mean for n events seen, 90 and 95 %: Particle Data Group, Review of Particle
 * Physics, section Statistics, table of lower and upper (one-sided) limits for the mean of a
 * Poisson variable (from memory; two decimals as printed).
 */
const PUBLISHED: [count: number, at90: number, at95: number][] = [
  [0, 2.3, 3.0],
  [1, 3.89, 4.74],
  [2, 5.32, 6.3],
  [3, 6.68, 7.75],
  [4, 7.99, 9.15],
  [5, 9.27, 10.51],
  [6, 10.53, 11.84],
  [7, 11.77, 13.15],
  [8, 12.99, 14.43],
  [9, 14.21, 15.71],
  [10, 15.41, 16.96],
];

describe('upper bound of a Poisson mean', () => {
  it.each(PUBLISHED)('of %i seen is as in the published table', (count, at90, at95) => {
    expect(Math.abs(poissonUpperBound(count, 0.9) - at90)).toBeLessThanOrEqual(0.0051);
    expect(Math.abs(poissonUpperBound(count, 0.95) - at95)).toBeLessThanOrEqual(0.0051);
  });
  it('is half the quantile of chi-squared with 2 n + 2 degrees of freedom (cephes)', async () => {
    await cephes.compiled;
    for (const count of [0, 1, 5, 20, 80, 300, 515, 20_000])
      for (const confidence of [0.5, 0.9, 0.95, 0.999]) {
        const half = cephes.igami(count + 1, 1 - confidence);
        expect(Math.abs(poissonUpperBound(count, confidence) / half - 1)).toBeLessThan(1e-6);
      }
  });
  it('is not a number outside its range', () => {
    for (const [count, confidence] of [
      [-1, 0.95],
      [1.5, 0.95],
      [100_001, 0.95],
      [1, 0.4],
      [1, 1],
    ] as const)
      expect(poissonUpperBound(count, confidence)).toBeNaN();
  });
});
