import type { DayAlive } from '../../src/living/day-runs.ts';
import type { Period, PeriodName } from '../../src/living/periods.ts';
import { ask, instant, ofWell } from './api.ts';

export type Day = DayAlive;
export type { Period };

/** Days of a span, put together where they are many, in no more digits than a chart needs. */
export async function askPeriods(
  wellId: string,
  by: PeriodName,
  { fromS, toS }: { fromS: number; toS?: number },
): Promise<Period[]> {
  const to = toS === undefined ? {} : { to: instant(toS) };
  const asked = ofWell(wellId, 'periods', { by, from: instant(fromS), ...to });
  return (await ask<{ periods: Period[] }>(asked)).body.periods;
}
