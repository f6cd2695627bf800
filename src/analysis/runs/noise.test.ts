import { describe, expect, it } from 'vitest';
import { normalNumbers } from '../../../test/support/numbers.ts';
import { createNoise, stepNoise } from './noise.ts';

const learnt = (values: number[], stepS: (i: number) => number = () => 5): number => {
  const noise = createNoise(500);
  let t = 0;
  values.forEach((value, i) => {
    t += stepS(i);
    stepNoise(noise, t, value);
  });
  return noise.std;
};

describe('noise', () => {
  it.each([50, 400, 1500])('of %i Pa is found to a tenth, wherever it began', (std) => {
    const random = normalNumbers(9);
    const values = Array.from({ length: 6000 }, () => 4e5 + std * random());
    expect(Math.abs(learnt(values) / std - 1)).toBeLessThan(0.12);
  });

  it('is not moved by a slope, nor by a draw now and then', () => {
    const random = normalNumbers(4);
    let level = 4e5;
    const values = Array.from({ length: 6000 }, (_, i) => {
      level -= i % 200 < 10 ? 900 : 40;
      return level + 300 * random();
    });
    expect(Math.abs(learnt(values) / 300 - 1)).toBeLessThan(0.15);
  });

  it('is asked only of readings at even steps', () => {
    const noise = createNoise(500);
    for (let i = 0; i < 100; i++) stepNoise(noise, i * i, i % 2 === 0 ? 0 : 1e6);
    // Steps of i squared differ by less than a fifth only late; before, nothing is learnt.
    const early = createNoise(500);
    for (let i = 0; i < 5; i++) stepNoise(early, i * i, i % 2 === 0 ? 0 : 1e6);
    expect(early.std).toBe(500);
    expect(early.count).toBe(0);
    expect(noise.count).toBeGreaterThan(0);
  });

  it('does not sink to nothing where a channel repeats its digits', () => {
    expect(learnt(Array(20_000).fill(3e5))).toBe(10);
  });
});
