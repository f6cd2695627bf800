import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isZone, localDate, localToUnixS, startOfNextLocalDayS, utcOffsetS } from './zone.ts';

const utc = (text: string) => Date.parse(text) / 1000;

/** Sum of an Intl rendering that shares nothing with the code under test but the zone data. */
const shown = (zone: string, unixS: number) =>
  new Date(unixS * 1000).toLocaleString('sv-SE', { timeZone: zone });

describe('RFC 3339 section 5.8 examples, epochs as published', () => {
  it('1985-04-12T23:20:50.52Z is 482196050.52', () => {
    expect(localToUnixS('UTC', 1985, 4, 12, 23, 20, 50.52)).toEqual([482196050.52]);
  });
  it('1996-12-19T16:39:57-08:00 is 851042397', () => {
    expect(localToUnixS('America/Los_Angeles', 1996, 12, 19, 16, 39, 57)).toEqual([851042397]);
    expect(utcOffsetS('America/Los_Angeles', 851042397)).toBe(-8 * 3600);
    expect(localDate('UTC', 851042397)).toBe('1996-12-20');
  });
  it('1937-01-01T12:00:27.87+00:20 is -1041337172.13', () => {
    expect(localToUnixS('+00:20', 1937, 1, 1, 12, 0, 27.87)[0]).toBeCloseTo(-1041337172.13, 6);
  });
  it('1990-12-31T23:59:60Z, a leap second, counts as the second that follows', () => {
    expect(localToUnixS('UTC', 1990, 12, 31, 23, 59, 60)).toEqual([utc('1991-01-01T00:00:00Z')]);
    expect(localToUnixS('America/Los_Angeles', 1990, 12, 31, 15, 59, 60)).toEqual([
      utc('1991-01-01T00:00:00Z'),
    ]);
  });
});

describe('changes of the clocks, dates and hours from the IANA time zone database', () => {
  it('America/Denver skips 02:00 to 03:00 on 2026-03-08', () => {
    expect(localToUnixS('America/Denver', 2026, 3, 8, 2, 30, 0)).toEqual([]);
    expect(localToUnixS('America/Denver', 2026, 3, 8, 1, 59, 59)).toEqual([
      utc('2026-03-08T08:59:59Z'),
    ]);
    expect(localToUnixS('America/Denver', 2026, 3, 8, 3, 0, 0)).toEqual([
      utc('2026-03-08T09:00:00Z'),
    ]);
  });
  it('America/Denver repeats 01:00 to 02:00 on 2026-11-01', () => {
    expect(localToUnixS('America/Denver', 2026, 11, 1, 1, 30, 0)).toEqual([
      utc('2026-11-01T07:30:00Z'),
      utc('2026-11-01T08:30:00Z'),
    ]);
    expect(localToUnixS('America/Denver', 2026, 11, 1, 2, 0, 0)).toEqual([
      utc('2026-11-01T09:00:00Z'),
    ]);
    expect(startOfNextLocalDayS('America/Denver', utc('2026-11-01T06:00:00Z'))).toBe(
      utc('2026-11-01T06:00:00Z') + 25 * 3600,
    );
  });
  it('Europe/Berlin changes at 01:00 UTC on 2026-03-29 and 2026-10-25', () => {
    expect(utcOffsetS('Europe/Berlin', utc('2026-03-29T00:59:59Z'))).toBe(3600);
    expect(utcOffsetS('Europe/Berlin', utc('2026-03-29T01:00:00Z'))).toBe(7200);
    expect(localToUnixS('Europe/Berlin', 2026, 10, 25, 2, 0, 0)).toHaveLength(2);
    expect(localToUnixS('Europe/Berlin', 2026, 10, 25, 3, 0, 0)).toHaveLength(1);
  });
  it('Australia/Lord_Howe changes by half an hour', () => {
    expect(utcOffsetS('Australia/Lord_Howe', utc('2026-01-15T00:00:00Z'))).toBe(11 * 3600);
    expect(utcOffsetS('Australia/Lord_Howe', utc('2026-07-15T00:00:00Z'))).toBe(10.5 * 3600);
    expect(localToUnixS('Australia/Lord_Howe', 2026, 10, 4, 2, 15, 0)).toEqual([]);
    expect(localToUnixS('Australia/Lord_Howe', 2026, 10, 4, 2, 30, 0)).toHaveLength(1);
    expect(localToUnixS('Australia/Lord_Howe', 2026, 4, 5, 1, 45, 0)).toHaveLength(2);
  });
  it('Pacific/Apia has no 2011-12-30', () => {
    expect(localToUnixS('Pacific/Apia', 2011, 12, 30, 12, 0, 0)).toEqual([]);
    const next = startOfNextLocalDayS('Pacific/Apia', utc('2011-12-29T22:00:00Z'));
    expect(next).toBe(utc('2011-12-30T10:00:00Z'));
    expect(localDate('Pacific/Apia', next)).toBe('2011-12-31');
    expect(localDate('Pacific/Apia', next - 1)).toBe('2011-12-29');
  });
  it('Africa/Casablanca goes an hour back for some weeks: both changes are seen', () => {
    expect(utcOffsetS('Africa/Casablanca', utc('2026-02-01T00:00:00Z'))).toBe(3600);
    expect(utcOffsetS('Africa/Casablanca', utc('2026-03-01T00:00:00Z'))).toBe(0);
    expect(utcOffsetS('Africa/Casablanca', utc('2026-04-01T00:00:00Z'))).toBe(3600);
  });
  it('a day may start at 01:00: America/Santiago 2026-09-06', () => {
    const next = startOfNextLocalDayS('America/Santiago', utc('2026-09-05T20:00:00Z'));
    expect(shown('America/Santiago', next)).toBe('2026-09-06 01:00:00');
    expect(localDate('America/Santiago', next - 1)).toBe('2026-09-05');
  });
});

describe('bounds', () => {
  it('has no instant for what is no date or no time', () => {
    expect(localToUnixS('UTC', 2026, 2, 29, 0, 0, 0)).toEqual([]);
    expect(localToUnixS('UTC', 2024, 2, 29, 0, 0, 0)).toHaveLength(1);
    expect(localToUnixS('UTC', 2026, 13, 1, 0, 0, 0)).toEqual([]);
    expect(localToUnixS('UTC', 2026, 1, 1, 24, 0, 0)).toEqual([]);
    expect(localToUnixS('UTC', 2026, 1, 1, 0, 60, 0)).toEqual([]);
    expect(localToUnixS('UTC', 2026, 1, 1, 0, 0, Number.NaN)).toEqual([]);
  });
  it('is NaN or empty outside the years 1 to 9999', () => {
    expect(utcOffsetS('UTC', Number.NaN)).toBeNaN();
    expect(utcOffsetS('UTC', 1e15)).toBeNaN();
    expect(localDate('UTC', -1e15)).toBe('');
    expect(startOfNextLocalDayS('UTC', Number.POSITIVE_INFINITY)).toBeNaN();
  });
  it('knows zones by name only', () => {
    expect(isZone('America/Denver')).toBe(true);
    expect(isZone('UTC')).toBe(true);
    expect(isZone('America/Denver2')).toBe(false);
    expect(isZone('+02:00')).toBe(false);
    expect(isZone('')).toBe(false);
  });
});

describe('properties over 60 years and many zones', () => {
  const zone = fc.constantFrom(
    ...'America/Denver Europe/Berlin Australia/Lord_Howe Asia/Kathmandu Pacific/Apia'.split(' '),
    ...'Africa/Casablanca America/Santiago Asia/Beirut America/St_Johns UTC'.split(' '),
  );
  const instant = fc.integer({ min: 0, max: 60 * 366 * 86400 });

  it('agrees with the wall clock that Intl shows, and finds the way back', () => {
    fc.assert(
      fc.property(zone, instant, (name, unixS) => {
        const wall = shown(name, unixS);
        expect(localDate(name, unixS)).toBe(wall.slice(0, 10));
        const [y, mo, d, h, mi, s] = wall.split(/[- :]/).map(Number) as [number, ...number[]];
        expect(localToUnixS(name, y, mo!, d!, h!, mi!, s!)).toContain(unixS);
      }),
      { numRuns: 2000, seed: 3339 },
    );
  });
  it('the next local day starts where the date turns', () => {
    fc.assert(
      fc.property(zone, instant, (name, unixS) => {
        const next = startOfNextLocalDayS(name, unixS);
        expect(next).toBeGreaterThan(unixS);
        expect(localDate(name, next) > localDate(name, unixS)).toBe(true);
        expect(localDate(name, next - 1)).toBe(localDate(name, unixS));
      }),
      { numRuns: 1000, seed: 5545 },
    );
  });
  it('a million look-ups in time order take well under a second of reading a log', () => {
    const begun = performance.now();
    let sumS = 0;
    for (let i = 0; i < 1e6; i++) sumS += utcOffsetS('America/Denver', 1.77e9 + i * 5);
    expect(sumS).toBeLessThan(0);
    expect(performance.now() - begun).toBeLessThan(3000);
  });
});
