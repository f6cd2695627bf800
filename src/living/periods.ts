import { median, middleAndWidth } from '../base/median.ts';
import { type DayEntry, isWhole } from '../model/study.ts';
import type { DayAlive, DayRuns } from './day-runs.ts';

export const PERIODS = ['day', 'week', 'month', 'year'] as const;
export type PeriodName = (typeof PERIODS)[number];

/** Days put together. `date` is the first of the period in the calendar. */
export interface Period extends DayAlive {
  /** Days with a record, those of them that are recorded whole, and all of the calendar. */
  days: number;
  wholeDays: number;
  ofDays: number;
}

const DAY_MS = 86_400_000;
const MONDAY = 1;

/** The first date of the period that a date lies in. */
function firstDate(date: string, of: PeriodName): string {
  if (of === 'day') return date;
  if (of === 'year') return `${date.slice(0, 4)}-01-01`;
  if (of === 'month') return `${date.slice(0, 7)}-01`;
  const atMs = Date.parse(date);
  const sinceMonday = (new Date(atMs).getUTCDay() - MONDAY + 7) % 7;
  return new Date(atMs - sinceMonday * DAY_MS).toISOString().slice(0, 10);
}

function daysOf(first: string, of: PeriodName): number {
  if (of === 'day') return 1;
  if (of === 'week') return 7;
  const [year = 0, month = 1] = first.split('-').map(Number);
  const next = of === 'year' ? Date.UTC(year + 1, 0, 1) : Date.UTC(year, month, 1);
  return (next - Date.parse(first)) / DAY_MS;
}

/** Of ten years nobody needs more, of a doubt fewer: every digit goes over the link. */
const DIGITS = { value: 6, doubt: 3 };
const rounded = (value: number, of: keyof typeof DIGITS = 'value'): number =>
  Number(value.toPrecision(DIGITS[of]));

/**
 * Amounts of days, one by one or by week (from Monday), month or year summed, the rest as its
 * middle day.
 */
export function periodsOf(days: readonly DayAlive[], of: PeriodName): Period[] {
  const groups = Map.groupBy(days, ({ date }) => firstDate(date, of));
  return [...groups].map(([date, own]) => periodOf(date, own, daysOf(date, of)));
}

function periodOf(date: string, days: readonly DayAlive[], ofDays: number): Period {
  const known = (key: keyof DayEntry): number[] =>
    days.flatMap((day) => (day[key] as number | null | undefined) ?? []);
  const gathered = (key: keyof DayEntry, by: (values: number[]) => number): number | null => {
    const values = known(key);
    if (values.length === 0) return null;
    return rounded(by(values), key.endsWith('Std') ? 'doubt' : 'value');
  };
  const sum = (key: keyof DayEntry) => gathered(key, (all) => all.reduce((a, b) => a + b, 0));
  const middle = (key: keyof DayEntry) => gathered(key, median);
  /** What makes the days uncertain is the same on each of them: it does not average out. */
  const both = (gather: typeof sum, ...keys: (keyof DayEntry)[]) =>
    Object.fromEntries(
      keys.flatMap((key) => [key, `${key}Std` as keyof DayEntry]).map((key) => [key, gather(key)]),
    );
  const perTank = days.some(({ usedPerTank }) => usedPerTank !== undefined);
  return {
    date,
    ...both(sum, 'usedM3', 'lossM3', 'pumpedM3', 'energyJ', 'cost'),
    ...(perTank ? both(sum, 'usedPerTank', 'lossPerTank', 'pumpedPerTank') : {}),
    ...both(middle, 'levelDropM', 'pumpingLevelM', 'pumpIndex'),
    ...both(middle, 'specificCapacityM2PerS', 'energyPerVolumeJPerM3'),
    energyFloorJPerM3: middle('energyFloorJPerM3'),
    lossHouseShare: middle('lossHouseShare'),
    coveredS: sum('coveredS') ?? 0,
    starts: sum('starts') ?? 0,
    runS: sum('runS') ?? 0,
    open: days.some(({ open }) => open),
    runs: runsOf(days),
    days: days.length,
    wholeDays: days.filter(isWhole).length,
    ofDays,
  } as Period;
}

function runsOf(days: readonly DayAlive[]): DayRuns {
  const of = (key: keyof DayRuns) => {
    const all = days.flatMap(({ runs }) => runs?.[key] ?? []);
    const [first] = all;
    if (first === undefined) return null;
    // Of one day it is known how far its own runs lie apart.
    const { middle, width } =
      all.length === 1 ? first : middleAndWidth(all.map((one) => one.middle));
    return { middle: rounded(middle), width: rounded(width, 'doubt') };
  };
  return {
    cutInPaGauge: of('cutInPaGauge'),
    cutOutPaGauge: of('cutOutPaGauge'),
    meanCurrentA: of('meanCurrentA'),
  };
}
