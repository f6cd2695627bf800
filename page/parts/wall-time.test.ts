import { expect, it } from 'vitest';
import { instantOfWall, wallTime } from './wall-time.ts';

// 15 CFR 2.2 / 15 USC 260a: in 2026 daylight time runs from 8 March to 1 November, 2 am local time.
it('reads and writes wall times of the well', () => {
  expect(instantOfWall('2026-06-01T12:30', 'America/Denver')).toBe('2026-06-01T18:30:00Z');
  expect(instantOfWall('2026-12-01T12:30', 'America/Denver')).toBe('2026-12-01T19:30:00Z');
  expect(instantOfWall('2026-03-08T02:30', 'America/Denver')).toBeNull();
  expect(instantOfWall('2026-11-01T01:30', 'America/Denver')).toBe('2026-11-01T07:30:00Z');
  expect(instantOfWall('', 'UTC')).toBeNull();
  expect(wallTime(Date.parse('2026-06-01T18:30:00Z') / 1000, 'America/Denver')).toBe(
    '2026-06-01T12:30',
  );
});
