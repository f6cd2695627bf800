import { describe, expect, it } from 'vitest';
import { dayOf, flat, gal, studyOf, wellOf } from '../../test/study-fixture.ts';
import type { DayEntry } from '../model/study.ts';
import type { ServiceRecord } from '../model/well.ts';
import { figuresOf } from './figures.ts';
import { TEXT_WIDTH } from './layout.ts';
import { monthsTable } from './months-table.ts';
import { studyText } from './study-text.ts';

/** Days one after the other from 2026-03-01 on. */
const daysFrom = (count: number, parts: (i: number) => Partial<DayEntry>): DayEntry[] =>
  Array.from({ length: count }, (_, i) => {
    const date = new Date(Date.UTC(2026, 2, 1 + i)).toISOString().slice(0, 10);
    return dayOf({ date, ...parts(i) });
  });

/** March uses 100, 102 ... 160 gal, mean 130; the 30 days of April 200 gal each. */
const twoMonths = (parts: (i: number) => Partial<DayEntry> = () => ({})) =>
  daysFrom(61, (i) => ({
    usedM3: gal(i < 31 ? 100 + 2 * i : 200),
    usedM3Std: gal(i < 31 ? 6 : 4),
    starts: i < 31 ? 6 + (i % 2) : 9,
    runS: i < 31 ? 600 : 1200,
    ...parts(i),
  }));

const service = (onS: number, did: string): ServiceRecord => ({ onS, did, resets: [], now: {} });
const figures = figuresOf(studyOf(), wellOf());
const lines = (days: DayEntry[], services: ServiceRecord[] = []) =>
  monthsTable(days, services, figures);
const rowOf = (text: string[], month: string) =>
  text
    .find((line) => line.trim().startsWith(month))
    ?.trim()
    .split(/ {2,}/);

describe('a log of two months', () => {
  const text = lines(twoMonths());
  it('has a row a month, each figure to the digit it is known to', () => {
    // Twice the std: 12 gal, 3.2, 4.8, 2.6 ft, 2.2 %; starts (16 x 6 + 15 x 7) / 31 = 6.5;
    // 31 x 2.93 kWh = 90.8 and 31 x 0.28 = 8.7; 31 x 0.4981 = 15.4 known to 31 x 0.048 = 1.5.
    expect(rowOf(text, '2026-03')).toEqual([
      '2026-03',
      '31',
      '130 ± 12',
      '12 ± 3',
      '197 ± 5',
      '6.5',
      '0:10',
      '91 ± 9',
      '15.4',
      '14 ± 3',
      '98 ± 2',
    ]);
    expect(rowOf(text, '2026-04')?.slice(0, 7)).toEqual([
      '2026-04',
      '30',
      '200 ± 8',
      '12 ± 3',
      '197 ± 5',
      '9.0',
      '0:20',
    ]);
  });
  it('is told after the findings and before the days', () => {
    const told = studyText(studyOf({ days: twoMonths() }), wellOf());
    const at = told.indexOf('\nMonth by month\n');
    expect(at).toBeGreaterThan(told.indexOf('\nFindings\n'));
    expect(told.indexOf('\nDay by day\n')).toBeGreaterThan(at);
    for (const line of told.split('\n')) expect(line.length, line).toBeLessThanOrEqual(TEXT_WIDTH);
  });
  it('carries no remark where there is nothing to remark', () => {
    expect(text.join('\n')).not.toContain('*');
  });
});

describe('what a month is made of', () => {
  it('means leave out days seen in part, sums of energy do not', () => {
    const text = lines(
      twoMonths((i) => (i === 60 ? { coveredS: 20_000, usedM3: gal(5), energyJ: 3.6e6 } : {})),
    );
    // 29 x 2.93 + 1 = 86.0 kWh
    expect(rowOf(text, '2026-04')?.slice(0, 3)).toEqual(['2026-04', '29', '200 ± 8']);
    expect(rowOf(text, '2026-04')?.[7]).toBe('86 ± 8');
  });
  it('a month seen on no whole day has no means', () => {
    const text = lines(daysFrom(62, (i) => (i === 61 ? { coveredS: 20_000 } : {})));
    expect(rowOf(text, '2026-05')?.slice(0, 7)).toEqual(['2026-05', '0', '-', '-', '-', '-', '-']);
  });
  it('what some days do not know is told, and means are over those that do', () => {
    const text = lines(
      twoMonths((i) =>
        i > 50 ? { usedM3: null, usedM3Std: null, energyJ: null, energyJStd: null } : {},
      ),
    );
    expect(rowOf(text, '2026-04*')?.[2]).toBe('200 ± 8');
    // 20 days of April know it: 20 x 2.93 = 58.6 kWh
    expect(rowOf(text, '2026-04*')?.[7]).toBe('59 ± 6');
    expect(flat(text.join('\n'))).toContain(
      '2026-04 used known on 20 of 30 days energy known on 20 of 30 days',
    );
  });
  it('cost is left out where no price stands', () => {
    const unpriced = lines(twoMonths(() => ({ cost: null, costStd: null })));
    expect(unpriced[0]).not.toContain('Cost');
    expect(lines(twoMonths())[0]).toContain('Cost');
  });
  it('without a scale volumes are drawdowns', () => {
    const days = twoMonths(() => ({
      ...{ usedM3: null, usedM3Std: null, lossM3: null, lossM3Std: null },
      ...{ pumpedM3: null, pumpedM3Std: null, usedPerTank: 16.24, usedPerTankStd: 0.13 },
      ...{ lossPerTank: 1.11, lossPerTankStd: 0.09, pumpedPerTank: 17.5, pumpedPerTankStd: 0.12 },
    }));
    const relative = { ...figures, relative: true };
    const text = monthsTable(days, [], relative);
    expect(text[1]).toContain('drawdowns');
    expect(rowOf(text, '2026-03')?.slice(2, 4)).toEqual(['16.2 ± 0.3', '1.11 ± 0.18']);
    for (const line of text) expect(line.length, line).toBeLessThanOrEqual(TEXT_WIDTH);
  });
});

describe('services', () => {
  it('mark their month, by the time of the well', () => {
    // 03:00 UTC of 1 April is still 31 March in Denver.
    const text = lines(twoMonths(), [
      service(Date.UTC(2026, 3, 1, 3) / 1000, 'air put back into the pressure tank'),
      service(Date.UTC(2025, 3, 1) / 1000, 'new pump'),
    ]);
    expect(rowOf(text, '2026-03*')).toBeDefined();
    expect(rowOf(text, '2026-04')?.[0]).toBe('2026-04');
    expect(flat(text.join('\n'))).toContain(
      '2026-03 2026-03-31 service: air put back into the pressure tank',
    );
    expect(text.join('\n')).not.toContain('new pump');
  });
});

it('a log of 45 days has no months, one of 46 has', () => {
  expect(lines(daysFrom(45, () => ({})))).toEqual([]);
  expect(lines(daysFrom(46, () => ({}))).length).toBeGreaterThan(0);
  expect(studyText(studyOf({ days: daysFrom(45, () => ({})) }), wellOf())).not.toContain(
    'Month by month',
  );
});
