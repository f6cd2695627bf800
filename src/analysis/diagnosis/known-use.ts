import { utcOffsetS } from '../../base/zone.ts';
import type { KnownUse } from '../../model/well.ts';
import type { Measure, Sample } from './measures.ts';
import type { Deviations } from './odds.ts';

const DAY_S = 86_400;
/** The first of January 1970 was a Thursday; weeks are counted from Monday. */
const FIRST_DAY = 3;
/** Timers are set by hand, and hoses run on a little, s. */
const LEEWAY_S = 900;

/** Whether the keeper has written down that water is used at this moment. */
export function isKnownUse(uses: readonly KnownUse[], timeZone: string, atS: number): boolean {
  if (uses.length === 0) return false;
  const localS = atS + utcOffsetS(timeZone, atS);
  const day = Math.floor(localS / DAY_S);
  const clockS = localS - day * DAY_S;
  // A use over midnight began on the day before; leeway may lead there, too.
  return uses.some((use) =>
    [-1, 0, 1].some((later) => {
      const weekday = (((day + FIRST_DAY - later) % 7) + 7) % 7;
      const lengthS = (use.toS - use.fromS + DAY_S) % DAY_S || DAY_S;
      const sinceS = clockS + later * DAY_S - use.fromS;
      return use.days.includes(weekday) && sinceS > -LEEWAY_S && sinceS < lengthS + LEEWAY_S;
    }),
  );
}

/** What a known use moves says nothing of the well. */
export function withoutUse(sample: Sample): Sample {
  const silent = { fill: NaN, fade: NaN, 'run-length': NaN, steepest: NaN, duty: NaN };
  return { ...sample, ...silent, loss: NaN, 'after-stop': NaN };
}

const BY_USE: readonly Measure[] = [
  ...(['fill', 'fade', 'steepest', 'duty', 'flowing', 'loss'] as const),
  ...(['after-stop', 'night-draws', 'delivery', 'sudden'] as const),
];

/** What people who draw harder do not explain; runs they make longer, never shorter. */
export function beneathUse(seen: Deviations): Deviations {
  const left = { ...seen };
  for (const measure of BY_USE) delete left[measure];
  if ((left['run-length']?.value ?? 0) > 0) delete left['run-length'];
  return left;
}
