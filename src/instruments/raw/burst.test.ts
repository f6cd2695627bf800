import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { evenly } from '../../../test/support/evenly.ts';
import { judgeBurst } from './burst.ts';

const RATE_HZ = 860;
const sine = (hz: number, count: number, cutAt = Number.POSITIVE_INFINITY) =>
  Array.from({ length: count }, (_, i) => {
    const value = 0.3 * Math.sin((2 * Math.PI * hz * i) / RATE_HZ + 0.4);
    return 1.65 + Math.max(-cutAt, Math.min(cutAt, value));
  });
const RMS = 0.3 / Math.SQRT2;

describe('a burst', () => {
  it('has its RMS value whatever the clock of the converter is off by', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(50, 60),
        evenly(-0.03, 0.03),
        fc.integer({ min: 60, max: 400 }),
        (mainsHz, off, count) => {
          const hz = mainsHz * (1 + off);
          const { rms, foundHz, doubts, crestFactor } = judgeBurst(
            sine(hz, count),
            1 / RATE_HZ,
            mainsHz,
          );
          fc.pre((count * mainsHz) / RATE_HZ >= 3.1);
          expect(foundHz).toBeCloseTo(hz, 5);
          expect(Math.abs(rms / RMS - 1)).toBeLessThan(1e-3);
          expect(crestFactor).toBeGreaterThan(1.38);
          fc.pre(Math.abs(Math.abs(off) - 0.01) > 1e-6);
          expect(doubts.length).toBe(Math.abs(off) > 0.01 ? 1 : 0);
          for (const says of doubts) {
            const [, told] = /has ([\d.]+) Hz by the clock/.exec(says) ?? [];
            expect(Math.abs(Number(told) - hz)).toBeLessThan(0.0051);
          }
        },
      ),
    );
  });

  it('does not believe a frequency more than a tenth off the mains', () => {
    for (const off of [-0.08, 0.09]) {
      const { foundHz } = judgeBurst(sine(60 * (1 + off), 60), 1 / RATE_HZ, 60);
      expect(foundHz).toBeCloseTo(60 * (1 + off), 4);
    }
    for (const off of [-0.14, 0.14]) {
      expect(judgeBurst(sine(60 * (1 + off), 60), 1 / RATE_HZ, 60).foundHz).toBeNaN();
    }
  });

  it('that is short is fitted at the frequency told', () => {
    fc.assert(
      fc.property(fc.integer({ min: 8, max: 42 }), (count) => {
        const { rms, how, foundHz, doubts } = judgeBurst(sine(60, count), 1 / RATE_HZ, 60);
        expect(how).toBe('sine-fit');
        expect(foundHz).toBeNaN();
        expect(Math.abs(rms / RMS - 1)).toBeLessThan(1e-6);
        expect(doubts).toEqual([]);
      }),
    );
  });

  it('that is cut is told from one that is not, on both sides of a crest factor of 1.3', () => {
    // Crest factor of a sine cut at c of its height, by its own integral.
    const crest = (c: number) => {
      const angle = Math.asin(c);
      const square = (angle - Math.sin(2 * angle) / 2 + (Math.PI - 2 * angle) * c * c) / Math.PI;
      return c / Math.sqrt(square);
    };
    fc.assert(
      fc.property(evenly(0.3, 0.99), (c) => {
        fc.pre(Math.abs(crest(c) - 1.3) > 0.01);
        const { doubts, crestFactor } = judgeBurst(sine(60, 430, 0.3 * c), 1 / RATE_HZ, 60);
        expect(Math.abs(crestFactor / crest(c) - 1)).toBeLessThan(5e-3);
        expect(doubts.join()).toMatch(crest(c) < 1.3 ? /flat-topped/ : /^$/);
      }),
    );
  });

  it('that is none says what it takes', () => {
    for (const samples of [[], [1, 2, 3], new Array(200).fill(Number.NaN)]) {
      const { rms, doubts } = judgeBurst(samples, 1 / RATE_HZ, 60);
      expect(rms).toBeNaN();
      expect(doubts).toHaveLength(1);
      expect(doubts[0]).toMatch(/half a cycle of the mains/);
    }
  });
});
