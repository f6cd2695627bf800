import { localToUnixS, utcOffsetS } from '../../src/base/zone.ts';

/** An instant as a field for local date and time has it, in the zone of the well. */
export const wallTime = (atS: number, zone: string): string =>
  new Date((atS + utcOffsetS(zone, atS)) * 1000).toISOString().slice(0, 16);

/** The instant of a wall time; null where it does not occur. The first, where it does twice. */
export function instantOfWall(text: string, zone: string): string | null {
  const parts = /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d)/.exec(text);
  if (parts === null) return null;
  const [y = 0, mo = 1, d = 1, h = 0, mi = 0] = parts.slice(1).map(Number);
  const [atS] = localToUnixS(zone, y, mo, d, h, mi, 0);
  return atS === undefined ? null : new Date(atS * 1000).toISOString().replace('.000Z', 'Z');
}
