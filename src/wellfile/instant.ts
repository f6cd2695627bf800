import { localToUnixS, startOfNextLocalDayS } from '../base/zone.ts';
import type { Cell } from './source.ts';

/** RFC 3339 with the offset or the time of day left out, as TOML 1.0 allows. */
const WRITTEN =
  /^(\d{4})-(\d\d)-(\d\d)(?:[Tt ](\d\d):(\d\d)(?::(\d\d(?:\.\d+)?))?(Z|z|[+-]\d\d:\d\d)?)?$/;

const EARLIEST_YEAR = 1900;
const LATEST_YEAR = 2199;

/**
 * An instant in Unix s. Without an offset the time is that of the well's zone and must occur
 * exactly once. Where a `date` will do, it stands for the start of its day there.
 */
export function readInstant(cell: Cell, least: 'date' | 'time'): number | null {
  if (!cell.isThere) return null;
  const parts = cell.given instanceof Date ? WRITTEN.exec(cell.written) : null;
  if (parts === null || (least === 'time' && parts[4] === undefined)) {
    return cell.wrongType(expectedOf(least));
  }
  const year = Number(parts[1]);
  if (year < EARLIEST_YEAR || year > LATEST_YEAR) {
    return cell.impossible(`a year from ${EARLIEST_YEAR} to ${LATEST_YEAR}`);
  }
  return fromParts(cell, parts);
}

function expectedOf(least: 'date' | 'time'): string {
  const time = 'a date and time without quotes such as 2026-04-08T20:30:00Z';
  return least === 'time' ? time : `${time}, or a date such as 2026-04-08`;
}

function fromParts(cell: Cell, parts: RegExpExecArray): number | null {
  const [y, mo, d, h, mi, s] = parts.slice(1, 7).map((part) => Number(part ?? 0)) as Wall;
  const [asUtc] = localToUnixS('UTC', y, mo, d, h, mi, s);
  if (asUtc === undefined) return cell.impossible('a date of the calendar');
  if (parts[7] !== undefined) return asUtc - offsetS(parts[7]);
  const { zone } = cell.source;
  // The zone itself has been reported: no more can be said of its times.
  if (zone === null) return null;
  const isAlone = parts[4] === undefined;
  const instants = isAlone ? startOfDay(zone, [y, mo, d]) : localToUnixS(zone, y, mo, d, h, mi, s);
  if (instants.length === 1) return instants[0]!;
  return cell.report(
    instants.length === 2 ? 'time-twice' : 'time-never',
    `a time that occurs once in ${zone}, or an offset after it such as -06:00`,
  );
}

type Wall = [number, number, number, number, number, number];

/** The first moment of a date; none where the zone skipped the whole day. */
function startOfDay(zone: string, [y, mo, d]: [number, number, number]): number[] {
  const [noonS] = localToUnixS(zone, y, mo, d, 12, 0, 0);
  return noonS === undefined ? [] : [startOfNextLocalDayS(zone, noonS - 86_400)];
}

function offsetS(text: string): number {
  if (/^z$/i.test(text)) return 0;
  const size = Number(text.slice(1, 3)) * 3600 + Number(text.slice(4, 6)) * 60;
  return text.startsWith('-') ? -size : size;
}
