import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TimeReader } from './time.ts';

const zone = 'America/Denver';

function readAll(texts: string[], inZone = zone) {
  const reader = new TimeReader(inZone, 0);
  return texts.map((text) => {
    const bytes = new TextEncoder().encode(text);
    const timeS = reader.read(bytes, 0, bytes.length);
    return Number.isNaN(timeS) ? reader.reason : timeS;
  });
}

describe('TimeReader', () => {
  it('reads the examples of RFC 3339 section 5.8', () => {
    const texts = [
      '1985-04-12T23:20:50.52Z',
      '1996-12-19T16:39:57-08:00',
      '1990-12-31T23:59:60Z',
      '1990-12-31T15:59:60-08:00',
      '1937-01-01T12:00:27.87+00:20',
    ];
    // Epochs of the first, second and last: independent computation. A leap second counts as the
    // second that follows it.
    const leap = Date.UTC(1991, 0, 1) / 1000;
    expect(readAll(texts)).toEqual([482196050.52, 851042397, leap, leap, -1041337172.13]);
  });

  it('agrees with the calendar of the language, with and without fractions', () => {
    const dates = fc.date({
      min: new Date('1970-01-01T00:00:00Z'),
      max: new Date('2199-12-31T00:00:00Z'),
      noInvalidDate: true,
    });
    fc.assert(
      fc.property(dates, (date) => {
        const text = date.toISOString();
        const spaced = `${text.slice(0, 10)} ${text.slice(11)}`;
        const s = date.getTime() / 1000;
        expect(readAll([text, spaced, text.toLowerCase()])).toEqual([s, s, s]);
      }),
    );
  });

  it('reads Unix seconds, with decimals, and milliseconds from eleven digits on', () => {
    expect(readAll(['1775433600', '1775433600.25', '1775433600250', '10000000000', '12'])).toEqual([
      1775433600, 1775433600.25, 1775433600.25, 10000000, 12,
    ]);
  });

  it('reads local time in the zone of the well', () => {
    // 2026-07-01 is summer time (UTC-6), 2026-01-15 is not (UTC-7).
    expect(readAll(['2026-07-01 12:00:00', '2026-01-15 12:00:00.5', '2026-01-15 12:00'])).toEqual([
      Date.UTC(2026, 6, 1, 18) / 1000,
      Date.UTC(2026, 0, 15, 19) / 1000 + 0.5,
      Date.UTC(2026, 0, 15, 19) / 1000,
    ]);
  });

  it('lets the order of rows decide in the repeated hour, little disorder apart', () => {
    // The clocks of Denver went back from 02:00 to 01:00 on 2026-11-01 (08:00 UTC).
    const texts = [
      '2026-11-01 00:59:55',
      '2026-11-01 01:00:00',
      '2026-11-01 01:59:55',
      '2026-11-01 01:59:50',
      '2026-11-01 01:00:00',
      '2026-11-01 01:59:55',
      '2026-11-01 02:00:00',
    ];
    const utc = (h: number, m: number, s: number) => Date.UTC(2026, 10, 1, h, m, s) / 1000;
    expect(readAll(texts)).toEqual([
      utc(6, 59, 55),
      utc(7, 0, 0),
      utc(7, 59, 55),
      utc(7, 59, 50),
      utc(8, 0, 0),
      utc(8, 59, 55),
      utc(9, 0, 0),
    ]);
  });

  it('knows that a local time never was', () => {
    expect(readAll(['2026-03-08 02:30:00'])).toEqual(['no-such-local-time']);
  });

  it('refuses what is no time', () => {
    const wrong = [
      '',
      'yesterday',
      '2026-02-30 00:00:00',
      '2026-13-01T00:00:00Z',
      '2026-01-01T24:00:00Z',
      '2026-01-01T00:60:00Z',
      '2026-01-01T00:00:00+25:00',
      '2026-01-01T00:00:00Zulu',
      '2026-01-01',
      '2026-01-01T0:00:00Z',
      '2026/01/01 00:00:00',
    ];
    expect(readAll(wrong)).toEqual(wrong.map(() => 'unreadable-time'));
  });
});
