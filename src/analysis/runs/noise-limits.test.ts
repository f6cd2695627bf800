import { describe, expect, it } from 'vitest';
import { evenNumbers } from '../../../test/support/numbers.ts';
import { createNoise, type Noise, stepNoise } from './noise.ts';

const fed = (values: number[], times: number[] = values.map((_, i) => i)): Noise => {
  const noise = createNoise(500);
  for (const [i, value] of values.entries()) stepNoise(noise, times[i]!, value);
  return noise;
};

describe('noise, on the average over time', () => {
  // Twelve uniform numbers less six: standard deviation 1, by the variance 1/12 of each.
  const normal = (random: () => number) =>
    Array.from({ length: 12 }, random).reduce((sum, v) => sum + v, -6);

  const meanStd = (valueAt: (i: number) => number): number => {
    const noise = createNoise(500);
    let sum = 0;
    for (let i = 0; i < 60_000; i++) {
      stepNoise(noise, i, valueAt(i));
      if (i >= 10_000) sum += noise.std;
    }
    return sum / 50_000;
  };

  it('is the standard deviation, within three parts in a hundred', () => {
    const random = evenNumbers(21);
    expect(Math.abs(meanStd(() => 4e5 + 300 * normal(random)) / 300 - 1)).toBeLessThan(0.03);
  });

  it('is the same on a slope of five times the noise a reading', () => {
    const random = evenNumbers(21);
    const sloping = meanStd((i) => 4e5 - 1500 * i + 300 * normal(random));
    expect(Math.abs(sloping / 300 - 1)).toBeLessThan(0.03);
  });

  it('of values in steps as coarse as the noise holds the steps too, and no more than that', () => {
    const random = evenNumbers(8);
    const stepPa = 300;
    const coarse = meanStd(() => Math.round((4e5 + 300 * normal(random)) / stepPa) * stepPa);
    // Rounding adds step squared over 12 to the variance (uniform error).
    const whole = Math.sqrt(300 ** 2 + stepPa ** 2 / 12);
    expect(coarse / whole).toBeGreaterThan(0.7);
    expect(coarse / whole).toBeLessThan(1.3);
  });
});

describe('noise, reading by reading', () => {
  it('sinks as 4/(n + 4) while it is young, down to a fiftieth of where it began', () => {
    // The third reading is the first at even steps.
    for (const n of [1, 2, 10, 150]) {
      expect(fed(Array(n + 2).fill(3e5)).std).toBeCloseTo((500 * 4) / (n + 4), 9);
    }
    expect(fed(Array(400).fill(3e5)).std).toBe(10);
  });

  it('grows by four parts in a thousand a reading once it is old', () => {
    const wild = Array.from({ length: 402 }, (_, i) => (i % 2 === 0 ? 0 : 1e30));
    const before = fed(wild.slice(0, -1));
    expect(fed(wild).std / before.std).toBeCloseTo(1.004, 12);
    // And faster before that: one part in count + 4.
    expect(fed(wild.slice(0, 4)).std / fed(wild.slice(0, 3)).std).toBeCloseTo(7 / 6, 12);
  });

  it.each([
    ['equal', 10, 10, 1],
    ['a fifth longer, nearly', 8.1, 10, 1],
    ['a fifth longer', 8, 10, 0],
    ['a little more than a fifth longer', 7.9, 10, 0],
    ['shorter by less than a fifth of the new one', 11.9, 10, 1],
    ['much shorter', 13, 10, 0],
  ])('learns from two steps that are %s: %d s and %d s', (_name, first, second, count) => {
    expect(fed([1, 2, 3], [0, first, first + second]).count).toBe(count);
  });

  it('has no second difference before the third reading', () => {
    expect(fed([1]).count).toBe(0);
    expect(fed([1, 9e9]).count).toBe(0);
    expect(fed([1, 9e9]).std).toBe(500);
    expect(fed([1, 9e9, 1]).std).toBe(600);
  });
});
