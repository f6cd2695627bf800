import { startOfNextLocalDayS } from '../../base/zone.ts';
import { drawAt, type Table } from '../estimation/tables.ts';

/** The quiet window of a house: one to half past four in the morning (common practice). */
const FROM_S = 3600;
const TO_S = 4.5 * 3600;
const DAY_S = 86_400;
const SLOT_S = 1800;
/** A softener at its work draws often for an hour: no slot counts for more than this. */
const PER_SLOT = 2;

/**
 * Draws in the quiet hours of the quieter one of the last two nights before a moment, at most two
 * each half hour, known uses left out: a softener works one night and rests, a fixture that leaks
 * never does.
 */
export function drawsOfNights(
  draws: Table,
  timeZone: string,
  atS: number,
  isKnown: (atS: number) => boolean,
): number {
  const midnightS = startOfNextLocalDayS(timeZone, atS - TO_S - DAY_S);
  const [last, before] = [midnightS, midnightS - DAY_S].map((s) => drawsOfNight(draws, s, isKnown));
  return Math.min(last!, before!);
}

function drawsOfNight(draws: Table, midnightS: number, isKnown: (atS: number) => boolean): number {
  const slots = new Map<number, number>();
  for (let row = draws.rows - 1; row >= 0; row--) {
    const { startS } = drawAt(draws, row);
    if (startS < midnightS + FROM_S) break;
    if (startS >= midnightS + TO_S || isKnown(startS)) continue;
    const slot = Math.floor((startS - midnightS) / SLOT_S);
    slots.set(slot, Math.min((slots.get(slot) ?? 0) + 1, PER_SLOT));
  }
  return [...slots.values()].reduce((sum, n) => sum + n, 0);
}
