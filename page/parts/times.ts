import { utcOffsetS } from '../../src/base/zone.ts';

/** Local wall time of an instant, with as much of it as a span of time needs. */
export function dateTime(atS: number, zone: string, spanS: number): string {
  const text = new Date((atS + utcOffsetS(zone, atS)) * 1000).toISOString().replace('T', ' ');
  if (spanS <= 10) return text.slice(0, 21);
  if (spanS <= 3600) return text.slice(0, 19);
  return text.slice(0, spanS > 60 * 86_400 ? 10 : 16);
}

/** Time of day to the second, as it stands on the page's clock. */
export const clockTime = (instant: string, zone: string): string => {
  const atS = Date.parse(instant) / 1000;
  return new Date((atS + utcOffsetS(zone, atS)) * 1000).toISOString().slice(11, 19);
};

/** A length of time as one says it. */
export function lengthWords(lengthS: number): string {
  if (lengthS < 120) return `${Math.round(lengthS)} s`;
  if (lengthS < 7200) return `${Math.round(lengthS / 60)} min`;
  if (lengthS < 172_800) return `${Math.round(lengthS / 3600)} h`;
  return `${Math.round(lengthS / 86_400)} days`;
}

/** A length of time as it is waited for: to the second, minutes apart. */
export function minutesWords(lengthS: number): string {
  const whole = Math.round(lengthS);
  if (whole < 100) return `${whole} s`;
  const [minutes, seconds] = [Math.floor(whole / 60), whole % 60];
  if (minutes >= 180) return `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
  return seconds === 0 ? `${minutes} min` : `${minutes} min ${seconds} s`;
}
