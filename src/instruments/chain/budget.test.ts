import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { evenly } from '../../../test/support/evenly.ts';
import { type BudgetSource, budgetOf, ofLimits, ofSwing } from './budget.ts';

const source = (over: Partial<BudgetSource>): BudgetSource => ({
  source: 'one',
  kind: 'B',
  distribution: 'normal',
  std: 1,
  unit: 'nm',
  sensitivity: 1,
  degreesOfFreedom: Number.POSITIVE_INFINITY,
  ...over,
});

describe('budgetOf', () => {
  it('gives the results of GUM example H.1, calibration of an end gauge', () => {
    // JCGM 100:2008 clause H.1, Table H.1 and H.1.6 (from memory): components in nm with their
    // degrees of freedom; u = 32 nm, 16 degrees of freedom, U99 = 93 nm.
    const budget = budgetOf(
      [
        source({ source: 'standard', std: 25, degreesOfFreedom: 18 }),
        source({ source: 'difference', std: 9.7, degreesOfFreedom: 25.6 }),
        source({ source: 'expansion difference', std: 0.58e-6, sensitivity: 5e6 }),
        source({ source: 'temperature difference', std: 0.029, sensitivity: 575 }),
      ].map((row, i) => ({ ...row, degreesOfFreedom: [18, 25.6, 50, 2][i]! })),
      0.99,
    );
    expect(budget.rows[2]!.contribution).toBeCloseTo(2.9, 6);
    expect(budget.rows[3]!.contribution).toBeCloseTo(16.6, 0);
    expect(Math.round(budget.std)).toBe(32);
    expect(Math.floor(budget.degreesOfFreedom)).toBe(16);
    expect(Math.abs(budget.expanded - 93)).toBeLessThan(1);
  });

  it('gives the variances of GUM example 4.3.7, a voltmeter', () => {
    // JCGM 100:2008, examples of 4.3.7 and 5.1.5 (from memory): limits 15 uV give 8.7 uV, with
    // 12 uV of the readings together 15 uV.
    expect(ofLimits(15)).toBeCloseTo(8.7, 1);
    const budget = budgetOf([source({ std: 12 }), source({ std: ofLimits(15) })]);
    expect(Math.round(budget.std)).toBe(15);
  });

  it('adds shares to one and is k = 2 where everything is known', () => {
    const std = fc.double({ min: 1e-6, max: 1e3, noNaN: true });
    fc.assert(
      fc.property(fc.array(fc.tuple(std, std), { minLength: 1, maxLength: 8 }), (list) => {
        const budget = budgetOf(list.map(([a, b]) => source({ std: a, sensitivity: -b })));
        const sum = budget.rows.reduce((total, row) => total + row.share, 0);
        expect(sum).toBeCloseTo(1, 9);
        expect(budget.coverage).toBeCloseTo(2, 3);
        const greatest = Math.max(...budget.rows.map((row) => row.contribution));
        expect(budget.std).toBeGreaterThanOrEqual(greatest * (1 - 1e-12));
        expect(budget.std).toBeLessThanOrEqual(greatest * Math.sqrt(list.length) * (1 + 1e-12));
      }),
    );
  });

  it('has degrees of freedom between the least of a source and all of them together', () => {
    const df = fc.integer({ min: 1, max: 60 });
    const std = evenly(0.01, 10);
    fc.assert(
      fc.property(fc.array(fc.tuple(std, df), { minLength: 1, maxLength: 6 }), (list) => {
        const budget = budgetOf(list.map(([a, n]) => source({ std: a, degreesOfFreedom: n })));
        const all = list.map(([, n]) => n);
        const total = all.reduce((sum, n) => sum + n, 0);
        expect(budget.degreesOfFreedom).toBeLessThanOrEqual(total * (1 + 1e-9));
        expect(budget.degreesOfFreedom).toBeGreaterThanOrEqual(Math.min(...all) * (1 - 1e-9));
      }),
    );
  });

  it('takes the spread of a swing of unknown phase', () => {
    // Mean square of a cosine over all phases is a half.
    expect(ofSwing(1) ** 2).toBeCloseTo(0.5, 12);
  });
});
