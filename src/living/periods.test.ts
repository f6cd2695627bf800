import { describe, expect, it } from 'vitest';
import type { DayAlive } from './day-runs.ts';
import { periodsOf } from './periods.ts';

const day = (date: string, more: Partial<DayAlive> = {}): DayAlive =>
  ({
    ...{ date, coveredS: 86_400, usedM3: 1, usedM3Std: 0.1, lossM3: null, lossM3Std: null },
    ...{ energyJ: 1e6, energyJStd: 1e5, starts: 4, runS: 100, levelDropM: 2, levelDropMStd: 1 },
    open: false,
    ...more,
  }) as DayAlive;

describe('days put together', () => {
  // ISO 8601 has weeks begin on Monday; 1 June 2026 is one.
  it('weeks from Monday, each quantity as it can be', () => {
    const runs = (middle: number) => ({
      cutInPaGauge: { middle, width: 5 },
      cutOutPaGauge: null,
      meanCurrentA: null,
    });
    const days = [
      day('2026-05-31'),
      day('2026-06-01', { usedM3: 3, levelDropM: 1, runs: runs(200_000) }),
      day('2026-06-02', { usedM3: null, usedM3Std: null, levelDropM: 6, runs: runs(204_000) }),
      day('2026-06-07', { levelDropM: null, levelDropMStd: null, coveredS: 3600, open: true }),
    ];
    const weeks = periodsOf(days, 'week');
    expect(weeks.map(({ date, days: n, wholeDays }) => [date, n, wholeDays])).toEqual([
      ['2026-05-25', 1, 1],
      ['2026-06-01', 3, 2],
    ]);
    expect(weeks[1]).toMatchObject({
      ...{ usedM3: 4, usedM3Std: 0.2, lossM3: null, starts: 12, levelDropM: 3.5, open: true },
      runs: { cutInPaGauge: { middle: 202_000 }, cutOutPaGauge: null },
    });
  });
  it('days one by one with the doubt of their own runs, and no more digits than serve', () => {
    const runs = {
      cutInPaGauge: { middle: 214_309.4921875, width: 3993.55684 },
      cutOutPaGauge: null,
      meanCurrentA: { middle: 7.94749999, width: 0 },
    };
    const more = { usedM3: 0.8682337789927084, usedM3Std: 0.05223544919921035, runs };
    const found = periodsOf([day('2026-06-01', more), day('2026-06-03')], 'day');
    expect(found.map(({ date, ofDays }) => [date, ofDays])).toEqual([
      ['2026-06-01', 1],
      ['2026-06-03', 1],
    ]);
    expect(found[0]).toMatchObject({
      ...{ usedM3: 0.868234, usedM3Std: 0.0522, coveredS: 86_400 },
      runs: {
        cutInPaGauge: { middle: 214_309, width: 3990 },
        cutOutPaGauge: null,
        meanCurrentA: { middle: 7.9475, width: 0 },
      },
    });
  });
  it('months and years know how many days the calendar has', () => {
    const days = ['2024-02-03', '2024-03-01', '2025-01-01'].map((date) => day(date));
    const of = (by: 'month' | 'year') =>
      periodsOf(days, by).map(({ date, ofDays }) => [date, ofDays]);
    expect(of('month')).toEqual([
      ['2024-02-01', 29],
      ['2024-03-01', 31],
      ['2025-01-01', 31],
    ]);
    expect(of('year')).toEqual([
      ['2024-01-01', 366],
      ['2025-01-01', 365],
    ]);
  });
});
