import { expect, it } from 'vitest';
import { stepsOf } from './figures.ts';

it('a scale has round steps, about as many as wanted', () => {
  expect(stepsOf(31, 62, 3)).toEqual([40, 60]);
  expect(stepsOf(3, 11, 5)).toEqual([4, 6, 8, 10]);
});

it.each([
  // By hand: of steps of 50, 5, 1 and 0.1 a single one would lie within.
  [62, 128, 3, [80, 100, 120]],
  [31.2, 38.9, 2, [32, 34, 36, 38]],
  [6.3, 7.9, 2, [6.5, 7, 7.5]],
  [0.44, 0.58, 2, [0.45, 0.5, 0.55]],
])('one step alone is no scale: %d to %d', (least, greatest, wanted, expected) => {
  const steps = stepsOf(least, greatest, wanted);
  expect(steps).toHaveLength(expected.length);
  for (const [i, step] of steps.entries()) expect(step).toBeCloseTo(expected[i]!, 12);
});
