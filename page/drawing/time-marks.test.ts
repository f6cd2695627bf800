import { describe, expect, it } from 'vitest';
import { timeMarks } from './time-marks.ts';

const at = (text: string): number => Date.parse(text) / 1000;
const marks = (from: string, to: string, zone: string, most: number) =>
  timeMarks(at(from), at(to), zone, most).map(({ atS, text }) => [
    new Date(atS * 1000).toISOString(),
    text,
  ]);

// Changes of the clock in the United States: 8 March and 1 November 2026, 2:00 local (from the
// zone data that Intl carries; the rule is the Energy Policy Act of 2005).
describe('marks of time', () => {
  it('stand at round wall times of the zone, a new day by its date', () => {
    expect(marks('2026-01-05T05:30:00Z', '2026-01-05T09:00:00Z', 'America/Denver', 4)).toEqual([
      ['2026-01-05T06:00:00.000Z', '23:00'],
      ['2026-01-05T07:00:00.000Z', '01-05'],
      ['2026-01-05T08:00:00.000Z', '01:00'],
      ['2026-01-05T09:00:00.000Z', '02:00'],
    ]);
  });
  it('days begin at midnight on both sides of a change of the clock', () => {
    expect(marks('2026-03-07T06:00:00Z', '2026-03-10T06:30:00Z', 'America/Denver', 4)).toEqual([
      ['2026-03-07T07:00:00.000Z', '03-07'],
      ['2026-03-08T07:00:00.000Z', '03-08'],
      ['2026-03-09T06:00:00.000Z', '03-09'],
      ['2026-03-10T06:00:00.000Z', '03-10'],
    ]);
  });
  it('months and years over long spans', () => {
    expect(marks('2025-11-15T00:00:00Z', '2026-03-15T00:00:00Z', 'UTC', 4)).toEqual([
      ['2025-12-01T00:00:00.000Z', '2025-12'],
      ['2026-01-01T00:00:00.000Z', '2026'],
      ['2026-02-01T00:00:00.000Z', '2026-02'],
      ['2026-03-01T00:00:00.000Z', '2026-03'],
    ]);
    const decade = marks('2016-06-01T00:00:00Z', '2026-06-01T00:00:00Z', 'UTC', 6);
    expect(decade.map(([, text]) => text)).toEqual(['2018', '2020', '2022', '2024', '2026']);
  });
  it('tenths of a second within one', () => {
    const found = timeMarks(1000, 1001, 'UTC', 5);
    expect(found.map(({ text }) => text)).toEqual(['40.0', '40.2', '40.4', '40.6', '40.8', '41.0']);
  });
});
