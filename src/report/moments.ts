import { utcOffsetS } from '../base/zone.ts';

/** Unix seconds of an RFC 3339 instant. */
export const unixS = (instant: string): number => Date.parse(instant) / 1000;

/** Local date and time of an instant, as `2026-04-06T06:12:31`, to the nearest step. */
function local(instant: string, zone: string, stepS: number): string {
  const atS = unixS(instant);
  const localS = atS + utcOffsetS(zone, atS);
  return new Date(Math.round(localS / stepS) * stepS * 1000).toISOString().slice(0, 19);
}

/** Date and time to the minute, as told in a sentence. */
export const localMoment = (instant: string, zone: string): string =>
  local(instant, zone, 60).slice(0, 16).replace('T', ' ');

/** Date and time of a table; seconds only where the instant is known to less than ten (at 95 %). */
export function localDayAndTime(instant: string, zone: string, stdS: number | null) {
  const fine = stdS !== null && 2 * stdS < 10;
  const text = local(instant, zone, fine ? 1 : 60);
  return { day: text.slice(0, 10), time: text.slice(11, fine ? 19 : 16) };
}

/** Hours and minutes of a length of time. */
export function hoursMinutes(lengthS: number): string {
  const minutes = Math.round(lengthS / 60);
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')}`;
}
