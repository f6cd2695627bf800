import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { evenly } from '../../../test/support/evenly.ts';
import { solveSymmetric } from '../raw/solve.ts';
import { bowOf, extraTerm, fitPairs } from './fit.ts';
import type { CalibrationPair } from './types.ts';

const pairs = fc
  .array(
    fc.record({
      step: evenly(0.5, 2),
      off: evenly(-2, 2),
      std: evenly(0.05, 0.5),
    }),
    { minLength: 5, maxLength: 10 },
  )
  .map((list) => {
    let raw = 0;
    return list.map(({ step, off, std }): CalibrationPair => {
      raw += step;
      return { raw, rawStd: 0, reference: 3 + 2 * raw + off, referenceStd: std, atS: null };
    });
  });

/** Three parameters at once by the normal equations: coefficient of z, its variance, chi-square. */
function jointFit(list: readonly CalibrationPair[], z: readonly number[], isWeighted: boolean) {
  const rows = list.map(({ raw }, i) => [1, raw, z[i]!]);
  const weight = list.map(({ referenceStd }) => (isWeighted ? 1 / referenceStd ** 2 : 1));
  const matrix = [0, 1, 2].map((j) =>
    [0, 1, 2].map((k) => rows.reduce((sum, row, i) => sum + weight[i]! * row[j]! * row[k]!, 0)),
  );
  const right = [0, 1, 2].map((j) =>
    rows.reduce((sum, row, i) => sum + weight[i]! * row[j]! * list[i]!.reference, 0),
  );
  const found = solveSymmetric(matrix, right);
  const variance = solveSymmetric(matrix, [0, 0, 1])[2]!;
  const chiSquare = rows.reduce((sum, row, i) => {
    const model = row.reduce((total, value, j) => total + value * found[j]!, 0);
    return sum + weight[i]! * (list[i]!.reference - model) ** 2;
  }, 0);
  return { coefficient: found[2]!, variance, left: chiSquare / (list.length - 3) };
}

describe('extraTerm', () => {
  const close = (found: number, expected: number) =>
    expect(Math.abs(found - expected)).toBeLessThan(1e-6 * (1 + Math.abs(expected)));

  it('is the term of a fit of all three at once, with its uncertainty', () => {
    const seen = new Set<boolean>();
    fc.assert(
      fc.property(pairs, fc.boolean(), evenly(1, 20), (list, isTold, calm) => {
        const told = list.map((one) => ({
          ...one,
          referenceStd: isTold ? one.referenceStd * calm : 0,
        }));
        const z = bowOf(told);
        const joint = jointFit(told, z, isTold);
        const term = extraTerm(told, fitPairs(told), z)!;
        close(term.coefficient, joint.coefficient);
        // Told uncertainties stand, unless the points scatter more than they say.
        const scale = isTold ? Math.max(1, joint.left) : joint.left;
        close(term.std, Math.sqrt(scale * joint.variance));
        const isWithin = isTold && joint.left <= 1;
        expect(term.degreesOfFreedom).toBe(isWithin ? Number.POSITIVE_INFINITY : list.length - 3);
        seen.add(isWithin);
      }),
    );
    expect(seen.size).toBe(2);
  });

  it('is none with three points, or for what is a line itself', () => {
    fc.assert(
      fc.property(pairs, (list) => {
        const three = list.slice(0, 3);
        expect(extraTerm(three, fitPairs(three), bowOf(three))).toBeNull();
        const line = list.map(({ raw }) => 5 - 3 * raw);
        expect(extraTerm(list, fitPairs(list), line)).toBeNull();
        const four = list.slice(0, 4);
        expect(extraTerm(four, fitPairs(four), bowOf(four))).not.toBeNull();
      }),
    );
  });
});

describe('fitPairs', () => {
  it('widens the covariance by the scatter, never narrows it', () => {
    fc.assert(
      fc.property(pairs, (list) => {
        const times = (factor: number) =>
          fitPairs(list.map((one) => ({ ...one, referenceStd: one.referenceStd * factor })));
        const wild = times(0.01);
        fc.pre(wild.widenedBy > 1);
        expect(wild.widenedBy ** 2).toBeCloseTo(wild.chiSquare / wild.degreesOfFreedom, 3);
        const calm = times(1000);
        expect(calm.widenedBy).toBe(1);
        // Scattering points give the same uncertainty whatever they say of themselves.
        const wilder = times(0.001);
        expect(wilder.line.slopeVar / wild.line.slopeVar).toBeCloseTo(1, 6);
        expect(wilder.line.cov / wild.line.cov).toBeCloseTo(1, 6);
        expect(wilder.line.interceptVar / wild.line.interceptVar).toBeCloseTo(1, 6);
        expect(wilder.stds[0]! / wild.stds[0]!).toBeCloseTo(1, 6);
      }),
    );
  });
});
