import { describe, expect, it } from 'vitest';
import { FAULT_NAMES } from '../../model/faults.ts';
import { weigh } from './odds.ts';
import { signOdds } from './plain-odds.ts';
import { inSeason, monthsFromMidwinter, seasonFactor } from './season.ts';

const at = (date: string): number => Date.parse(`${date}T12:00:00Z`) / 1000;

describe('the season of a well', () => {
  it.each([
    ['America/Denver', 0],
    ['Europe/Dublin', 0],
    ['America/Phoenix', 0],
    ['Asia/Tokyo', 0],
    ['Australia/Sydney', 6],
    ['America/Santiago', 6],
    ['Pacific/Auckland', 6],
    ['Africa/Johannesburg', 6],
    ['Australia/Brisbane', 6],
  ])('in %s in January is %i months from midwinter', (zone, months) => {
    expect(monthsFromMidwinter(zone, at('2026-01-10'))).toBe(months);
    expect(monthsFromMidwinter(zone, at('2026-07-10'))).toBe((months + 6) % 12);
    expect(monthsFromMidwinter(zone, at('2026-12-10'))).toBe((months + 11) % 12);
  });
  it.each(['UTC', 'Asia/Kolkata', 'Africa/Nairobi'])('is not known in %s', (zone) => {
    expect(monthsFromMidwinter(zone, at('2026-01-10'))).toBeNaN();
  });
  it('goes by the calendar of the well', () => {
    const atS = Date.parse('2026-02-01T03:00:00Z') / 1000;
    expect(monthsFromMidwinter('America/Denver', atS)).toBe(0);
  });
});

describe('the chance of a fault', () => {
  it('over a year is what it is without seasons', () => {
    for (const fault of FAULT_NAMES) {
      const months = Array.from({ length: 12 }, (_, month) => seasonFactor(fault, month));
      expect(months.reduce((a, b) => a + b, 0) / 12, fault).toBeCloseTo(1, 12);
      expect(seasonFactor(fault, NaN), fault).toBe(1);
    }
  });
  it('goes with the frost, low water and the watering of gardens', () => {
    expect(seasonFactor('frozen', 0)).toBeGreaterThan(2);
    expect(seasonFactor('frozen', 6)).toBeLessThan(0.05);
    expect(seasonFactor('static-level-falling', 8)).toBeGreaterThan(1.5);
    expect(seasonFactor('heavy-use', 6)).toBeGreaterThan(4 * seasonFactor('heavy-use', 0));
    expect(seasonFactor('pump-worn', 6)).toBe(1);
  });
  it('moves the odds of a level against wear, and no more than a factor', () => {
    const here = {
      runCapacitor: false,
      restS: NaN,
      shortestRunS: 60,
      troubledH: 0,
      runS: 90,
      now: {} as Parameters<typeof weigh>[1]['now'],
      middlePa: 4.5e5,
    };
    const ratio = (monthsFromWinter: number): number => {
      const seen = { delivery: { value: -0.15, std: 0.03 }, amps: { value: 0, std: 0.012 } };
      const { faults } = weigh(seen, { ...here, monthsFromWinter });
      const of = (name: string) => faults.find(({ fault }) => fault === name)!.probability;
      return of('static-level-falling') / of('pump-worn');
    };
    const factor = seasonFactor('static-level-falling', 8);
    expect(ratio(8) / ratio(NaN)).toBeCloseTo(factor, 9);
  });
  it('tells a pump that does not start in summer from a frozen one', () => {
    const usual = signOdds('frozen');
    expect(inSeason(usual, 6)[0]!.fault).toBe('switch-no-start');
    const winter = inSeason(usual, 0);
    expect(winter[0]!.fault).toBe('frozen');
    expect(winter[0]!.probability).toBeGreaterThan(0.7);
    expect(winter.reduce((s, one) => s + one.probability, 0)).toBeCloseTo(1, 12);
    expect(inSeason(usual, NaN)).toEqual(usual);
  });
});
