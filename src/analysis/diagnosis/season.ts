import { localDate, utcOffsetS } from '../../base/zone.ts';
import type { FaultName } from '../../model/faults.ts';
import { type Chance, reweighed } from './chances.ts';

/** Zones with winters that keep the same clock all year, north and south of the tropics. */
const NORTH = [
  'America/Phoenix',
  'America/Regina',
  'America/Whitehorse',
  'Asia/Almaty',
  'Asia/Seoul',
  'Asia/Shanghai',
  'Asia/Tokyo',
  'Atlantic/Reykjavik',
  'Europe/Istanbul',
  'Europe/Minsk',
  'Europe/Moscow',
];
const SOUTH = [
  'Africa/Johannesburg',
  'America/Argentina/Buenos_Aires',
  'America/Argentina/Cordoba',
  'America/Argentina/Mendoza',
  'America/Asuncion',
  'America/Buenos_Aires',
  'America/Montevideo',
  'America/Punta_Arenas',
  'America/Sao_Paulo',
  'Australia/Brisbane',
  'Australia/Perth',
];

/**
 * Months since the middle of winter at a moment [Unix s], 0 to 11, by the calendar of an IANA zone:
 * January is 0 in the north, July in the south. Which it is shows by the months that the clocks are
 * put forward in, or stands in a list. NaN where that tells nothing, as in the tropics.
 */
export function monthsFromMidwinter(timeZone: string, atS: number): number {
  const date = localDate(timeZone, atS);
  const [year, month] = date.split('-').map(Number) as [number, number];
  const offsetIn = (of: number): number => utcOffsetS(timeZone, Date.UTC(year, of, 15) / 1000);
  const forward = offsetIn(6) - offsetIn(0);
  if (forward > 0 || (forward === 0 && NORTH.includes(timeZone))) return month - 1;
  if (forward < 0 || (forward === 0 && SOUTH.includes(timeZone))) return (month + 5) % 12;
  return NaN;
}

/** How often by month a fault begins, relative; from the middle of winter on. */
const row = (...months: number[]): number[] => {
  const mean = months.reduce((sum, share) => sum + share, 0) / 12;
  return months.map((share) => share / mean);
};

/** Levels stand lowest from late summer until the rains of autumn, highest in spring. */
const LOW_WATER = row(2, 2, 1, 1, 1, 2, 3, 4, 5, 5, 3, 2);
/** Lawns and gardens. */
const WATERING = row(1, 1, 1, 2, 4, 6, 7, 7, 4, 2, 1, 1);
/** Frost, and pipes that show in the thaw what frost did. */
const FROST = row(9, 9, 5, 1, 0.05, 0.05, 0.05, 0.05, 0.05, 1, 3, 7);
const BURST = row(3, 3, 3, 2, 1, 1, 1, 1, 1, 1, 2, 3);
/** Thunderstorms. */
const LIGHTNING = row(2, 2, 2, 3, 4, 4, 4, 4, 3, 2, 2, 2);
/** Grids sag under cooling and heating. */
const LOAD = row(3, 3, 2, 2, 2, 3, 4, 4, 3, 2, 2, 3);

/** Faults whose chance goes with the season; common practice, the shares from memory. */
const SEASONS: Partial<Record<FaultName, readonly number[]>> = {
  'heavy-use': WATERING,
  'level-falling-in-run': LOW_WATER,
  'static-level-falling': LOW_WATER,
  'running-dry': LOW_WATER,
  frozen: FROST,
  'leak-burst': BURST,
  'voltage-low': LOAD,
  'rotor-locked': LIGHTNING,
};

/** What a fault's chance a year is to be multiplied by in a month; 1 where it has no season. */
export function seasonFactor(fault: FaultName, monthsFromWinter: number): number {
  return SEASONS[fault]?.[monthsFromWinter] ?? 1;
}

/** Odds by the season, adding up to 1 again, likeliest first. */
export const inSeason = (odds: readonly Chance[], monthsFromWinter: number): Chance[] =>
  reweighed(odds, (fault) => seasonFactor(fault, monthsFromWinter));
