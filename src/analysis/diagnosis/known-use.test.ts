import { describe, expect, it } from 'vitest';
import { beneathUse, isKnownUse } from './known-use.ts';

const ZONE = 'America/Chicago';
const irrigation = { what: 'irrigation', days: [0, 3], fromS: 4 * 3600, toS: 7 * 3600 };
const night = { what: 'stock tank', days: [6], fromS: 23 * 3600, toS: 2 * 3600 };
const at = (instant: string) => isKnownUse([irrigation, night], ZONE, Date.parse(instant) / 1000);

describe('a use that the keeper has written down', () => {
  // 2026-06-01 is a Monday; clocks there stand five hours behind UTC.
  it('is known at its time on its days, with a quarter of an hour to spare', () => {
    expect(at('2026-06-01T09:00:30Z')).toBe(true);
    expect(at('2026-06-01T08:46:00Z')).toBe(true);
    expect(at('2026-06-01T08:40:00Z')).toBe(false);
    expect(at('2026-06-01T12:14:00Z')).toBe(true);
    expect(at('2026-06-01T12:20:00Z')).toBe(false);
    expect(at('2026-06-02T10:00:00Z')).toBe(false);
    expect(at('2026-06-04T10:00:00Z')).toBe(true);
  });
  it('follows the clock of the house through the end of daylight saving', () => {
    // 2026-11-02 is a Monday, and six hours behind.
    expect(at('2026-11-02T12:30:00Z')).toBe(true);
    expect(at('2026-11-02T09:30:00Z')).toBe(false);
  });
  it('runs over midnight into the next day', () => {
    // Sunday 2026-06-07, 23:30, and Monday, 1:30.
    expect(at('2026-06-08T04:30:00Z')).toBe(true);
    expect(at('2026-06-08T06:30:00Z')).toBe(true);
    expect(at('2026-06-07T06:30:00Z')).toBe(false);
  });
  it('is none where nothing is written', () => {
    expect(isKnownUse([], ZONE, 0)).toBe(false);
  });
});

describe('what people who draw harder do not explain', () => {
  const off = (value: number) => ({ value, std: 0.1 });
  it('is what the motor and the switch show, and runs that are shorter', () => {
    const seen = { steepest: off(0.9), duty: off(0.2), amps: off(0.3), 'run-length': off(-1) };
    expect(Object.keys(beneathUse(seen))).toEqual(['amps', 'run-length']);
    expect(Object.keys(beneathUse({ ...seen, 'run-length': off(1) }))).toEqual(['amps']);
    expect(Object.keys(seen)).toHaveLength(4);
  });
});
