import { describe, expect, it } from 'vitest';
import { createOnThreshold, learnOnThreshold, type OnThreshold, otsu } from './on-threshold.ts';

const fed = (...amps: number[]): OnThreshold => {
  const state = createOnThreshold();
  for (const a of amps) learnOnThreshold(state, a);
  return state;
};
const times = (count: number, amps: number): number[] => Array(count).fill(amps);

// Amps are counted in twentieths of a decade from 0.1 A on, so that the middle of the lowest bin
// lies at 10^-0.975 A and that of 8 A (10^0.903) at 10^0.925 A.
const LOG_LOWEST = -0.975;
const LOG_8A = 0.925;

describe('the two groups', () => {
  it('are told by the middle of their bins, and the threshold by their geometric mean', () => {
    const state = fed(...times(30, 0.02), 8);
    expect(state.logOff).toBeCloseTo(LOG_LOWEST, 12);
    expect(state.logOn).toBeCloseTo(LOG_8A, 12);
    expect(state.thresholdA).toBeCloseTo(10 ** ((LOG_LOWEST + LOG_8A) / 2), 12);
  });

  it('need ten readings, and no more', () => {
    expect(fed(...times(8, 0.02), 8).thresholdA).toBeNaN();
    expect(fed(...times(9, 0.02), 8).thresholdA).toBeGreaterThan(0);
  });

  it('need to be four times apart', () => {
    // The second and third bin, in equal parts.
    const [one, other] = [0.119, 0.133];
    const rest = [...times(10, one), ...times(10, other)];
    // Middles in twentieths of a decade: off 2; on 14.5 is 4.2 times as much, 13.5 is 3.8 times.
    expect(fed(...rest, 10 ** (14.2 / 20 - 1)).thresholdA).toBeGreaterThan(0);
    expect(fed(...rest, 10 ** (13.2 / 20 - 1)).thresholdA).toBeNaN();
  });

  it('are found though each had its first readings before there were ten', () => {
    // All of these keep to two bins, so that no later reading opens a new one.
    expect(fed(...times(5, 8), ...times(500, 0.03), ...times(100, 8)).thresholdA).toBeLessThan(8);
    expect(fed(...times(6, 0.03), ...times(100, 8), ...times(50, 0.03)).thresholdA).toBeLessThan(8);
    expect(fed(...times(6, 0.03), ...times(14, 8)).thresholdA).toBeGreaterThan(0.03);
  });

  it('take whatever a transformer may say, nothing and a thousand amps alike', () => {
    const state = fed(...times(20, 0), 1000);
    expect(state.counts.length).toBe(64);
    expect(state.counts[0]).toBe(20);
    expect(state.counts[63]).toBe(1);
    expect(state.logOn).toBeCloseTo(63.5 / 20 - 1, 12);
  });
});

describe('the threshold of two groups', () => {
  it('is a quarter of the running amps at most', () => {
    const state = fed(...times(30, 0.55), 4.2);
    expect(state.thresholdA).toBeCloseTo(0.25 * 10 ** state.logOn, 12);
  });

  it('is six hundredths of them at least', () => {
    const state = fed(...times(30, 0.02), 60);
    expect(state.thresholdA).toBeCloseTo(0.06 * 10 ** 1.775, 9);
  });
});

describe('once known, the threshold', () => {
  it('follows the amps: a third of the way, a quarter, a fifth, in the end a 500th', () => {
    const state = fed(...times(30, 0.02), 8);
    let expected = LOG_8A;
    for (const share of [3, 4, 5]) {
      learnOnThreshold(state, 10);
      expected += (1 - expected) / share;
      expect(state.logOn).toBeCloseTo(expected, 12);
    }
    for (let i = 0; i < 2000; i++) learnOnThreshold(state, 10);
    const before = state.logOn;
    learnOnThreshold(state, 20);
    expect(state.logOn - before).toBeCloseTo((Math.log10(20) - before) / 500, 12);
    expect(state.logOff).toBeCloseTo(LOG_LOWEST, 12);
  });

  it('follows the rest a two-thousandth at a time, and counts less than 0.1 A as that', () => {
    const state = fed(...times(30, 0.02), 8);
    learnOnThreshold(state, 0.5);
    const risen = LOG_LOWEST + (Math.log10(0.5) - LOG_LOWEST) / 2000;
    expect(state.logOff).toBeCloseTo(risen, 12);
    learnOnThreshold(state, 0.001);
    expect(state.logOff).toBeCloseTo(risen + (-1 - risen) / 2000, 12);
    expect(state.logOn).toBeCloseTo(LOG_8A, 12);
    const middle = 10 ** ((state.logOff + state.logOn) / 2);
    expect(state.thresholdA).toBeCloseTo(middle, 12);
  });

  it('outlives an hour of a transformer that is stuck just above it', () => {
    const state = fed(...times(300, 0.03), ...times(300, 8));
    for (let i = 0; i < 3600; i++) learnOnThreshold(state, 2);
    expect(state.thresholdA).toBeLessThan(2);
    expect(state.thresholdA).toBeGreaterThan(0.1);
  });
});

describe("Otsu's parting, worked by hand", () => {
  it('of two bins gives both back', () => {
    expect(otsu([0, 3, 0, 0, 5, 0])).toEqual({ lastLow: 1, low: 1, high: 4 });
  });

  it('weighs the groups: three of one kind and one of another', () => {
    // Bins 0, 1 and 9: {0, 1} against {9} has the larger variance between.
    const parted = otsu([2, 2, 0, 0, 0, 0, 0, 0, 0, 4]);
    expect(parted).toEqual({ lastLow: 1, low: 0.5, high: 9 });
  });

  it('takes the first of partings that are equally good', () => {
    expect(otsu([1, 0, 0, 1])!.lastLow).toBe(0);
    expect(otsu([1, 1, 1])!.lastLow).toBe(0);
  });
});
