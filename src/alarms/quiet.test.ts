import { expect, it } from 'vitest';
import { isQuiet } from './quiet.ts';

const HOUR_S = 3600;
const at = (instant: string): number => Date.parse(instant) / 1000;
const NIGHT = { fromS: 22 * HOUR_S, toS: 7 * HOUR_S };

it('quiet hours run over midnight, by the clock of the zone', () => {
  const zone = 'America/Denver';
  for (const [instant, quiet] of [
    ['2026-06-01T21:59:59-06:00', false],
    ['2026-06-01T22:00:00-06:00', true],
    ['2026-06-02T06:59:59-06:00', true],
    ['2026-06-02T07:00:00-06:00', false],
    // Winter: an hour later by UTC.
    ['2026-12-01T22:00:00-07:00', true],
    ['2026-12-01T21:59:59-07:00', false],
    // The night in which clocks go forward (8 March 2026 in the United States).
    ['2026-03-08T06:59:00-06:00', true],
    ['2026-03-08T07:00:00-06:00', false],
  ] as const)
    expect(isQuiet(NIGHT, zone, at(instant)), instant).toBe(quiet);
});

it('may lie within a day, and may be none', () => {
  const noon = { fromS: 12 * HOUR_S, toS: 14 * HOUR_S };
  expect(isQuiet(noon, 'UTC', at('2026-06-01T13:00:00Z'))).toBe(true);
  expect(isQuiet(noon, 'UTC', at('2026-06-01T14:00:00Z'))).toBe(false);
  expect(isQuiet(null, 'UTC', at('2026-06-01T13:00:00Z'))).toBe(false);
});
