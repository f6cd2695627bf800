import { startOfNextLocalDayS } from '../../base/zone.ts';
import { drawAt, type Table } from '../estimation/tables.ts';

/** The quiet window of a house: one to half past four in the morning (common practice). */
const FROM_S = 3600;
const TO_S = 4.5 * 3600;
const DAY_S = 86_400;

/** Draws in the quiet hours of the last night that is over at a moment. */
export function drawsOfNight(draws: Table, timeZone: string, atS: number): number {
  // A day before a time of day after the window lies in the day before; else in the one before that.
  const midnightS = startOfNextLocalDayS(timeZone, atS - TO_S - DAY_S);
  let count = 0;
  for (let row = draws.rows - 1; row >= 0; row--) {
    const { startS } = drawAt(draws, row);
    if (startS < midnightS + FROM_S) break;
    if (startS < midnightS + TO_S) count += 1;
  }
  return count;
}
