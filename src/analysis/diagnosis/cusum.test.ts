import { describe, expect, it } from 'vitest';
import { evenNumbers } from '../../../test/support/numbers.ts';
import { decodeState, encodeState } from '../../base/snapshot.ts';
import { averageRunLength, createCusum, decisionInterval, shiftOf, stepCusum } from './cusum.ts';
import published from './cusum.vectors.json' with { type: 'json' };

const { montgomery, montgomeryRunger, lucasCrosier, montgomery93, oneSided } = published;

describe('the tabular CUSUM', () => {
  it('gives the sums, the signal and the change of Montgomery, tables 9.1 and 9.2', () => {
    const { target, k, h, data, high, low, signalAt, stepsAtSignal } = montgomery;
    const state = createCusum();
    const highs: number[] = [];
    data.forEach((x, i) => {
      stepCusum(state, x - target, k, i + 1);
      highs.push(state.high.sum);
      expect(state.high.sum, `C+ ${i + 1}`).toBeCloseTo(high[i]!, 2);
      expect(state.low.sum, `C- ${i + 1}`).toBeCloseTo(low[i]!, 2);
      if (i + 1 !== signalAt) return;
      expect(state.high.steps).toBe(stepsAtSignal);
      // The change is put between periods 22 and 23; the mean is 10 + 0.5 + 5.28 / 7.
      expect(state.high.sinceS).toBe(23);
      expect(target + shiftOf(state.high, k)).toBeCloseTo(11.25, 2);
    });
    expect(highs.findIndex((c) => c > h) + 1).toBe(signalAt);
  });

  it('stays in control as Montgomery and Runger, table 16-8', () => {
    const { target, K, H, data, high, low } = montgomeryRunger;
    const state = createCusum();
    data.forEach((x, i) => {
      stepCusum(state, x - target, K, i);
      expect(state.high.sum).toBeCloseTo(high[i]!, 6);
      expect(state.low.sum).toBeCloseTo(low[i]!, 6);
      expect(Math.max(state.high.sum, state.low.sum)).toBeLessThan(H);
    });
  });

  it('signals as often as Lucas and Crosier say, in random values', () => {
    const { k, h, mean, arl } = lucasCrosier;
    for (const i of [0, 2, 4, 6]) {
      const lengths = runLengths(k, h, mean[i]!, 2500);
      const middle = lengths.reduce((s, n) => s + n, 0) / lengths.length;
      const square = lengths.reduce((s, n) => s + (n - middle) ** 2, 0) / lengths.length;
      const error = Math.sqrt(square / lengths.length);
      expect(Math.abs(middle - arl[i]!)).toBeLessThan(3 * error + 0.005 * arl[i]!);
    }
  });

  it('comes back from a snapshot as it was', () => {
    const state = createCusum();
    for (const z of [0.4, 1.9, -3]) stepCusum(state, z, 0.5, 1e9);
    expect(decodeState(encodeState(state))).toEqual(state);
  });
});

describe('the average run length', () => {
  it('is that of the published tables within 5 %', () => {
    for (const { k, h, mean, arl } of [lucasCrosier, montgomery93])
      mean.forEach((mu, i) => {
        if (mu > 2) return;
        const ratio = averageRunLength(k, h, mu) / arl[i]!;
        expect(Math.abs(ratio - 1), `h ${h} mean ${mu}`).toBeLessThan(0.05);
      });
    // Of two sides in control each signals half as often as both.
    for (const { k, h, arl } of oneSided)
      expect(Math.abs((2 * averageRunLength(k, h, 0)) / arl - 1)).toBeLessThan(0.05);
  });

  it('is even where the drift is none, and is not given outside its range', () => {
    const near = averageRunLength(0.5, 5, 0.5 + 1e-4);
    expect(averageRunLength(0.5, 5, 0.5) / near).toBeCloseTo(1, 2);
    expect(averageRunLength(0, 5, 0)).toBeNaN();
    expect(averageRunLength(0.5, -1, 0)).toBeNaN();
    expect(averageRunLength(0.5, 5, 2.1)).toBeNaN();
  });

  it('asks for the decision intervals of the tables', () => {
    expect(decisionInterval(0.5, 168)).toBeCloseTo(4, 1);
    expect(decisionInterval(0.5, 465)).toBeCloseTo(5, 1);
    expect(decisionInterval(0.05, 465)).toBeNaN();
    expect(decisionInterval(0.5, 10)).toBeNaN();
  });
});

function runLengths(k: number, h: number, mean: number, count: number): number[] {
  const normal = normals();
  return Array.from({ length: count }, () => {
    const state = createCusum();
    for (let n = 1; ; n++) {
      stepCusum(state, mean + normal(), k, 0);
      if (Math.max(state.high.sum, state.low.sum) > h) return n;
    }
  });
}

/** Normal values by Box and Muller from a fixed sequence. */
function normals(): () => number {
  const even = evenNumbers(12345);
  // Never 0, which has no logarithm.
  const uniform = () => even() + 2 ** -33;
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}
