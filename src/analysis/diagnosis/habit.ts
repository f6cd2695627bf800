import type { FindingsState } from './findings.ts';

/** What has been told so often within so many days is how this house lives. */
const TOLD_BEFORE = 2;
const REMEMBERED_S = 30 * 86_400;
/** It may last this much longer than it did and still be no news. */
const LONGER = 1.5;

/** Whether heavy use since a moment is a habit of the house: told before, and over by itself. */
export function isHabit({ all }: FindingsState, sinceS: number, nowS: number): boolean {
  const before = all.filter(
    ({ fault, clearedS, replacedBy }) =>
      fault === 'heavy-use' && replacedBy === null && nowS - clearedS < REMEMBERED_S,
  );
  if (before.length < TOLD_BEFORE) return false;
  const longestS = Math.max(...before.map((f) => f.clearedS - f.sinceS));
  return nowS - sinceS < LONGER * longestS;
}
