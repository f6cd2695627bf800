import type { DayAlive } from '../../src/living/day-runs.ts';
import type { Period, PeriodName } from '../../src/living/periods.ts';
import { ask, instant, ofWell } from './api.ts';

export type Day = DayAlive;
export type { Period };

/** Days of a span put together: ten years of them need not come one by one. */
export async function askPeriods(wellId: string, by: PeriodName, fromS: number): Promise<Period[]> {
  const asked = ofWell(wellId, 'periods', { by, from: instant(fromS) });
  return (await ask<{ periods: Period[] }>(asked)).body.periods;
}
