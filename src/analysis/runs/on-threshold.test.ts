import { describe, expect, it } from 'vitest';
import { evenNumbers } from '../../../test/support/numbers.ts';
import { createOnThreshold, learnOnThreshold, otsu } from './on-threshold.ts';
import vectors from './otsu.vectors.json' with { type: 'json' };

const thresholdAfter = (amps: number[]): number => {
  const state = createOnThreshold();
  for (const a of amps) learnOnThreshold(state, a);
  return state.thresholdA;
};

describe("Otsu's parting", () => {
  it(`of ${vectors.source}`, () => {
    const parted = otsu(vectors.histogram);
    // The published T counts the bins of the lower group.
    expect(parted!.lastLow + 1).toBe(vectors.best_T);
    const total = vectors.histogram.reduce((a, b) => a + b, 0);
    const low = vectors.histogram.slice(0, vectors.best_T).reduce((a, b) => a + b, 0);
    const share = (low * (total - low)) / total ** 2;
    const between = share * (parted!.high - parted!.low) ** 2;
    const best = vectors.perThreshold.find(({ T }) => T === vectors.best_T)!;
    expect(between).toBeCloseTo(best.between, 4);
    for (const { T, between: other } of vectors.perThreshold)
      if (T !== vectors.best_T) expect(other).toBeLessThan(best.between);
  });

  it('of one group or none is none', () => {
    expect(otsu([0, 0, 0])).toBeNull();
    expect(otsu([0, 7, 0])).toBeNull();
  });
});

describe('the threshold', () => {
  it.each([
    ['a small pump', 0.03, 4.4],
    ['115 V, double amps', 0.05, 11.8],
    ['a 3 hp pump', 0.04, 16.5],
    ['a lamp on the same leg', 0.3, 8],
    ['a transformer that reads 70 % low', 0.04, 2.4],
  ])('of %s lies between off and on', (_name, off, on) => {
    const random = evenNumbers(3);
    const amps = [
      ...Array.from({ length: 400 }, () => off * (0.7 + 0.6 * random())),
      ...Array.from({ length: 60 }, () => on * (0.98 + 0.04 * random())),
      ...Array.from({ length: 400 }, () => off * (0.7 + 0.6 * random())),
    ];
    const threshold = thresholdAfter(amps);
    expect(threshold).toBeGreaterThan(1.4 * off);
    expect(threshold).toBeLessThanOrEqual(0.26 * on);
  });

  it('is known with the very first reading of the first run', () => {
    const state = createOnThreshold();
    for (let i = 0; i < 20; i++) learnOnThreshold(state, 0.04);
    expect(state.thresholdA).toBeNaN();
    learnOnThreshold(state, 8);
    expect(state.thresholdA).toBeLessThan(8);
  });

  it('is not made up from noise, nor from fewer than ten readings', () => {
    const random = evenNumbers(5);
    expect(thresholdAfter(Array.from({ length: 5000 }, () => 0.1 * random()))).toBeNaN();
    expect(thresholdAfter([0.02, 0.02, 8, 8, 0.02, 0.02, 8, 8, 0.02])).toBeNaN();
  });

  it('is learnt from a log that begins with the pump on', () => {
    const threshold = thresholdAfter([...Array(80).fill(8), ...Array(40).fill(0.03)]);
    expect(threshold).toBeGreaterThan(0.1);
    expect(threshold).toBeLessThan(2.1);
  });

  it('recovers from one odd reading that came before the first run', () => {
    const amps = [...Array(50).fill(0.03), 1.2, ...Array(50).fill(0.03), ...Array(40).fill(9)];
    const threshold = thresholdAfter(amps);
    expect(threshold).toBeGreaterThan(0.15);
    expect(threshold).toBeLessThan(2.3);
  });

  it('follows amps that sink, slowly', () => {
    const state = createOnThreshold();
    for (let i = 0; i < 50; i++) learnOnThreshold(state, 0.03);
    for (let i = 0; i < 2000; i++) learnOnThreshold(state, 8);
    const before = state.thresholdA;
    for (let i = 0; i < 6000; i++) learnOnThreshold(state, 4);
    expect(state.thresholdA).toBeLessThan(before);
    expect(10 ** state.logOn).toBeCloseTo(4, 1);
  });
});
