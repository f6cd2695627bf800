import { describe, expect, it } from 'vitest';
import { scaledReach, stepsOf } from './figures.ts';

describe('a scale', () => {
  it('stays as it is where two steps lie in it', () => {
    expect(scaledReach(31, 62, 3)).toEqual([31, 62]);
  });
  it.each([
    // By hand: 31.2 to 38.9 in two is a step of 5, of which 35 alone lies within.
    [31.2, 38.9, 2, [30, 40]],
    [0.41, 0.49, 2, [0.4, 0.5]],
    [-4, 3, 2, [-5, 5]],
  ])(
    'from %d to %d grows to whole steps, of which two at least span it',
    (low, high, wanted, to) => {
      const [least, greatest] = scaledReach(low, high, wanted);
      expect(least).toBeCloseTo(to[0]!, 12);
      expect(greatest).toBeCloseTo(to[1]!, 12);
      expect(stepsOf(least, greatest, wanted).length).toBeGreaterThanOrEqual(2);
    },
  );
});
