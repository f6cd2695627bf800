import type { FindingsState } from './findings.ts';
import { CALM_S } from './thresholds.ts';

/** What has been told so often within so many days is how this house lives. */
const TOLD_BEFORE = 2;
const REMEMBERED_S = 30 * 86_400;
/** And goes on to be for as long as it comes back within as many days. */
const HABIT_S = 365 * 86_400;
/** It may last this much longer than it did and still be no news. */
const LONGER = 1.5;

/**
 * Whether heavy use since a moment is a habit of the house: told before, and over by itself.
 * `lastS` is when it was one last; NaN where it never was.
 */
export function isHabit(
  { all }: FindingsState,
  { sinceS, nowS, lastS }: { sinceS: number; nowS: number; lastS: number },
): boolean {
  const withinS = nowS - lastS < REMEMBERED_S ? HABIT_S : REMEMBERED_S;
  const before = all.filter(
    ({ fault, clearedS, replacedBy }) =>
      fault === 'heavy-use' && replacedBy === null && nowS - clearedS < withinS,
  );
  if (before.length < TOLD_BEFORE) return false;
  // What runs have shown is cleared only when they have been calm for so long.
  const lastedS = before.map((f) => f.clearedS - f.sinceS - (f.by === 'sign' ? 0 : CALM_S));
  const longestS = Math.max(...lastedS);
  return nowS - sinceS < LONGER * longestS;
}
