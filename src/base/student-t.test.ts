import cephes from 'cephes';
import { beforeAll, describe, expect, it } from 'vitest';
import { studentFactor, studentWithin, TWO_SIGMA } from './student-t.ts';

beforeAll(async () => {
  await cephes.compiled;
});

describe('Student t', () => {
  it('gives the factors of GUM table G.2', () => {
    // JCGM 100:2008, Table G.2, columns 95 %, 95.45 % and 99 % (from memory).
    const rows = [
      [1, 12.71, 13.97, 63.66],
      [2, 4.3, 4.53, 9.92],
      [3, 3.18, 3.31, 5.84],
      [4, 2.78, 2.87, 4.6],
      [5, 2.57, 2.65, 4.03],
      [10, 2.23, 2.28, 3.17],
      [16, 2.12, 2.17, 2.92],
      [20, 2.09, 2.13, 2.85],
      [50, 2.01, 2.05, 2.68],
      [100, 1.984, 2.025, 2.626],
    ] as const;
    for (const [n, t95, t9545, t99] of rows) {
      const digits = n === 100 ? 3 : 2;
      expect(studentFactor(0.95, n), `${n}`).toBeCloseTo(t95, digits);
      expect(studentFactor(0.9545, n), `${n}`).toBeCloseTo(t9545, digits);
      expect(studentFactor(0.99, n), `${n}`).toBeCloseTo(t99, digits);
    }
    expect(studentFactor(TWO_SIGMA, Number.POSITIVE_INFINITY)).toBeCloseTo(2, 4);
    expect(studentFactor(0.95, Number.POSITIVE_INFINITY)).toBeCloseTo(1.959964, 4);
  });

  it('agrees with the cephes library', () => {
    for (const n of [1, 2, 3, 7, 8, 30, 101, 1000]) {
      for (const t of [0, 0.1, 1, 2.5, 12]) {
        const below = cephes.stdtr(n, -t);
        expect(studentWithin(t, n), `${n} ${t}`).toBeCloseTo(1 - 2 * below, 10);
      }
    }
    for (const n of [900, 1001, 3000, 1e5]) {
      const t = studentFactor(0.99, n);
      expect(1 - 2 * cephes.stdtr(n, -t), `${n}`).toBeCloseTo(0.99, 6);
    }
  });

  it('cuts degrees of freedom to a whole number and is NaN outside', () => {
    expect(studentFactor(0.95, 4.99)).toBe(studentFactor(0.95, 4));
    expect(studentFactor(0.95, 0.9)).toBeNaN();
    expect(studentFactor(1, 4)).toBeNaN();
    expect(studentFactor(0, 4)).toBeNaN();
    expect(studentWithin(-1, 4)).toBeNaN();
    expect(studentWithin(1, 2.5)).toBeNaN();
    expect(studentWithin(1, 1001)).toBeNaN();
  });
});
