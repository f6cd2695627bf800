import { describe, expect, it } from 'vitest';
import type { FittedLine } from '../../base/line.ts';
import { checkAgain, compareCalibrations, zeroCheck } from './over-time.ts';

const PSI = 6894.757293168361;
const YEAR_S = 365.25 * 86_400;
const where = { channel: 'pressure', raw: 'V', units: 'us' } as const;

/** 0 psi at 0.5 V, 37.5 psi each V, known to `std` psi everywhere. */
const line = (zeroPsi = 0, std = 0.2): FittedLine => ({
  intercept: zeroPsi * PSI,
  slope: 37.5 * PSI,
  aboutX: 0.5,
  interceptVar: (std * PSI) ** 2,
  slopeVar: 0,
  cov: 0,
  residualStd: 0,
  degreesOfFreedom: 3,
});

describe('zero check', () => {
  it('tells a zero that has moved from one that has not', () => {
    const volts = (psi: number) => [0.5 + psi / 37.5];
    expect(zeroCheck(line(), volts(0.39), where)?.moved).toBe(false);
    const off = zeroCheck(line(), volts(-0.41), where);
    expect(off?.moved).toBe(true);
    expect(off!.value / PSI).toBeCloseTo(-0.41, 9);
    expect(off?.says).toMatch(/moved: it reads -0.41 psi/);
  });

  it('counts the scatter of the readings, more with fewer of them', () => {
    const spread = [0.48, 0.52, 0.48, 0.52];
    const few = zeroCheck(line(0, 0.001), spread, where)!;
    const many = zeroCheck(line(0, 0.001), [...spread, ...spread, ...spread, ...spread], where)!;
    // Standard deviation of the mean: 0.75 psi each side, n - 1 = 3: 0.866/2 psi.
    expect(few.std / PSI).toBeCloseTo(0.433, 3);
    // GUM table G.2, 3 degrees of freedom: 3.31 (from memory).
    expect(few.limit / few.std).toBeCloseTo(3.31, 2);
    expect(many.limit).toBeLessThan(few.limit / 2);
    // With 0.2 psi of the line: 3 (0.477/0.433)^4 = 4.4 degrees of freedom, cut to 4: 2.87.
    const both = zeroCheck(line(0, 0.2), spread, where)!;
    expect(both.std / PSI).toBeCloseTo(Math.hypot(0.2, 0.433), 3);
    expect(both.limit / both.std).toBeCloseTo(2.87, 2);
  });

  it('stands beside the cautions of draining a tank, or of the panel', () => {
    expect(zeroCheck(line(), [0.5], where)?.cautions).toContain('tank-drained-power-off');
    const current = { channel: 'current', raw: 'V', units: 'us' } as const;
    expect(zeroCheck(line(), [0.5], current)?.cautions).toContain('mains-by-electrician');
    expect(zeroCheck(line(), [], where)).toBeNull();
    expect(zeroCheck(line(), [Number.NaN], where)).toBeNull();
  });
});

describe('drift against the last calibration', () => {
  const last = { line: line(0), atS: 0 };
  const values = [0, 40 * PSI];

  it('is told beyond twice the doubt of both together', () => {
    const doubt = 2 * Math.hypot(0.2, 0.2);
    const later = (psi: number) => ({ line: line(psi), atS: YEAR_S / 2 });
    expect(compareCalibrations(last, later(doubt * 0.99), { ...where, values })?.moved).toBe(false);
    const drift = compareCalibrations(last, later(doubt * 1.01), { ...where, values });
    expect(drift?.moved).toBe(true);
    expect(drift!.perYear / PSI).toBeCloseTo(2 * doubt * 1.01, 9);
  });

  it('finds where the lines differ most', () => {
    const steeper = { ...line(0), slope: 39 * PSI };
    const drift = compareCalibrations(last, { line: steeper, atS: YEAR_S }, { ...where, values });
    expect(drift!.at).toBe(40 * PSI);
    expect(drift!.value / PSI).toBeCloseTo((40 / 37.5) * 1.5, 9);
  });

  it('is not made of two lines of one time', () => {
    expect(compareCalibrations(last, last, { ...where, values })).toBeNull();
    expect(
      compareCalibrations(last, { line: line(), atS: 9 }, { ...where, values: [] }),
    ).toBeNull();
  });

  it('sets the date to check again: sooner the faster it drifts, never past two years', () => {
    const now = (psi: number) => ({ line: line(psi), atS: YEAR_S });
    const wait = (psi: number, allowedPsi: number) => {
      const drift = compareCalibrations(last, now(psi), { ...where, values });
      return (checkAgain(now(psi), drift, allowedPsi * PSI).atS - YEAR_S) / YEAR_S;
    };
    // 1 psi a year, give or take 0.57: 1 psi is used up after 1/1.57 of a year at the earliest.
    expect(wait(1, 1)).toBeCloseTo(1 / (1 + 2 * Math.hypot(0.2, 0.2)), 6);
    expect(wait(3, 1)).toBeLessThan(wait(1, 1));
    expect(wait(0.01, 50)).toBe(2);
    expect(wait(5, 0.01)).toBeCloseTo(30 / 365.25, 9);
    expect(checkAgain(now(0), null, PSI).atS).toBe(2 * YEAR_S);
    const says = (psi: number, allowedPsi: number) =>
      checkAgain(
        now(psi),
        compareCalibrations(last, now(psi), { ...where, values }),
        allowedPsi * PSI,
      ).says;
    expect(says(1, 1)).toMatch(/^8 months on/);
    expect(says(5, 0.01)).toMatch(/^1 month on/);
  });
});
