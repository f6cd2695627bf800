import { describe, expect, it } from 'vitest';
import { periodsOf } from '../../src/living/periods.ts';
import type { Day } from '../data/days.ts';
import {
  rowsOfDays,
  rowsOfHours,
  rowsOfPeriods,
  spanOfDate,
  unusualDays,
  withHoles,
} from './water-rows.ts';

const FIGURES = { system: 'si', zone: 'America/Denver', relative: false, currency: '' } as const;
const day = (date: string, usedM3: number, more: Partial<Day> = {}): Day =>
  ({
    date,
    coveredS: 86_400,
    usedM3,
    usedM3Std: 0.01,
    lossM3: 0.024,
    lossM3Std: 0.002,
    energyJ: 1e6,
    energyJStd: 1e5,
    cost: null,
    costStd: null,
    open: false,
    ...more,
  }) as Day;

describe('dates of a zone', () => {
  // The clocks of the United States go on by an hour on 8 March 2026, back on 1 November.
  it('last 23 hours in spring, 25 in autumn', () => {
    const hours = (date: string) => {
      const [fromS, toS] = spanOfDate(date, 'America/Denver');
      return (toS - fromS) / 3600;
    };
    expect(hours('2026-03-08')).toBe(23);
    expect(hours('2026-11-01')).toBe(25);
    expect(hours('2026-06-01')).toBe(24);
    const [fromS] = spanOfDate('2026-06-01', 'America/Denver');
    expect(new Date(fromS * 1000).toISOString()).toBe('2026-06-01T06:00:00.000Z');
    expect(spanOfDate('2026-06-01', 'Pacific/Auckland')[0]).toBe(
      Date.parse('2026-05-31T12:00:00Z') / 1000,
    );
  });
});

describe('rows of water', () => {
  it('hours share out a draw by the time it lasted, and lose by a steady rate', () => {
    const draw = {
      start: '2026-06-01T06:30:00Z',
      stop: '2026-06-01T07:30:00Z',
      volumeM3: 0.1,
      volumeM3Std: 0.01,
      peakFlowM3PerS: 0,
    };
    const ever = Number.POSITIVE_INFINITY;
    const rows = rowsOfHours([draw], day('2026-06-01', 0.1), FIGURES, ever);
    expect(rows).toHaveLength(24);
    expect(rows.slice(0, 3).map(({ used }) => used.value)).toEqual([0.05, 0.05, 0]);
    expect(rows.reduce((sum, { lost }) => sum + lost.value!, 0)).toBeCloseTo(0.024);
    expect(rows.map(({ name }) => name).slice(0, 2)).toEqual(['00:00', '01:00']);
    // At half past two nothing is said of the hours to come, and the third goes on.
    const now = rowsOfHours(
      [draw],
      day('2026-06-01', 0.1, { coveredS: 9000, open: true }),
      FIGURES,
      Date.parse('2026-06-01T08:30:00Z') / 1000,
    );
    expect(now.map(({ name, mark }) => [name, mark])).toEqual([
      ['00:00', ''],
      ['01:00', ''],
      ['02:00', 'open'],
    ]);
    expect(now[0]!.lost.value).toBeCloseTo(0.024 / 2.5);
    expect(now[2]!.lost.value).toBeCloseTo((0.5 * 0.024) / 2.5);
  });
  it('the hour that comes twice as the clock is set back has two names', () => {
    const rows = rowsOfHours([], day('2026-11-01', 0), FIGURES, Number.POSITIVE_INFINITY);
    expect(rows).toHaveLength(25);
    expect(new Set(rows.map(({ name }) => name)).size).toBe(25);
    expect(rows.slice(0, 4).map(({ name }) => name.slice(0, 5))).toEqual([
      ...['00:00', '01:00', '01:00', '02:00'],
    ]);
  });
});

describe('rows of months and of holes', () => {
  it('months sum their days, and say where a day is of part', () => {
    const days = [
      day('2026-05-30', 0.2),
      day('2026-05-31', 0.3),
      day('2026-06-01', 0.4, { coveredS: 4000 }),
    ];
    const rows = rowsOfPeriods(periodsOf(days, 'month'), 7, FIGURES);
    expect(rows.map(({ name, used, mark }) => [name, used.value, mark])).toEqual([
      ['2026-05', 0.5, 'part'],
      ['2026-06', 0.4, 'part'],
    ]);
    const [year] = rowsOfPeriods(periodsOf(days, 'year'), 4, FIGURES);
    expect(year!.used.std).toBeCloseTo(0.03);
  });
  it('a whole month is none of part, and months without a record are a hole', () => {
    const month = (name: string, count: number) =>
      Array.from({ length: count }, (_, i) => day(`${name}-${String(i + 1).padStart(2, '0')}`, 1));
    const rows = withHoles(
      rowsOfPeriods(
        periodsOf([...month('2026-02', 28), ...month('2026-05', 30)], 'month'),
        7,
        FIGURES,
      ),
    );
    expect(rows.map(({ name, mark, days }) => [name, mark, days])).toEqual([
      ['2026-02', '', undefined],
      ['2026-03', 'hole', 61],
      ['2026-05', 'part', undefined],
    ]);
  });
  it('days without a record are shown as such', () => {
    const rows = withHoles(
      rowsOfDays([day('2026-05-30', 1), day('2026-06-03', 1), day('2026-06-04', 1)], FIGURES),
    );
    expect(rows.map(({ name, mark, days }) => [name, mark, days])).toEqual([
      ['2026-05-30', '', undefined],
      ['2026-05-31', 'hole', 3],
      ['2026-06-03', '', undefined],
      ['2026-06-04', '', undefined],
    ]);
  });
  it('a day stands out by more than chance and by much', () => {
    const usual = Array.from({ length: 20 }, (_, i) =>
      day(`2026-04-${String(i + 1).padStart(2, '0')}`, 0.4 + 0.02 * (i % 5)),
    );
    const days = [...usual, day('2026-04-21', 0.6), day('2026-04-22', 2)];
    expect(unusualDays(days, FIGURES).map((one) => one.day.date)).toEqual(['2026-04-22']);
    expect(unusualDays([...usual, day('2026-04-21', 2, { open: true })], FIGURES)).toEqual([]);
  });
});
