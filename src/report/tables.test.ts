import { expect, it } from 'vitest';
import { dayOf, flat, gal, runOf, studyOf, wellOf } from '../../test/study-fixture.ts';
import type { DayEntry } from '../model/study.ts';
import { condition } from './condition.ts';
import { daysTable } from './days-table.ts';
import { figuresOf } from './figures.ts';
import { runsTable } from './runs-table.ts';

const figures = figuresOf(studyOf(), wellOf());
const days = (all: DayEntry[]) => flat(daysTable(all, all, figures).join('\n'));
const conditionOf = (all: DayEntry[]) =>
  flat(condition(studyOf({ days: all }), figures).join('\n'));

it('a typical day is the median of whole days only', () => {
  const part = dayOf({ usedM3: gal(1), coveredS: 20_000 });
  const all = [dayOf({ usedM3: gal(100) }), dayOf({ usedM3: gal(120) }), part, part, part];
  expect(days(all)).toContain('Typical day (median of the whole days): used 110 ± 4 gal');
});

it('the day of 23 hours is a whole day, one of half is not', () => {
  const short = daysTable([dayOf({ coveredS: 82_800 })], [dayOf()], figures).join('\n');
  expect(short).not.toContain('*');
  const half = daysTable([dayOf({ coveredS: 43_200 })], [dayOf()], figures).join('\n');
  expect(half).toContain('2026-04-06*');
});

it('a column that no day knows is left out, one that some know is not', () => {
  const none = daysTable([dayOf({ levelDropM: null, levelDropMStd: null })], [dayOf()], figures);
  expect(none[0]).not.toContain('Drop');
  expect(none[0]).toContain('Index');
  const unpriced = daysTable([dayOf({ cost: null, costStd: null })], [dayOf()], figures);
  expect(unpriced[0]).not.toContain('Cost');
});

it('cost ends at the digit it is known to', () => {
  const [, , , row] = daysTable([dayOf({ cost: 12.3456, costStd: 1.2 })], [dayOf()], figures);
  // 12.3 ± 2.4: known to ones.
  expect(row).toMatch(/ 12 {2,}14 ± 3/);
});

it('the date of a run stands where it changes', () => {
  const next = runOf({ start: '2026-04-07T12:00:00Z', stop: '2026-04-07T12:01:00Z' });
  const rows = runsTable([runOf(), runOf(), next, next], figures).slice(3);
  expect(rows.map((row) => row.slice(2, 12).trim())).toEqual(['2026-04-06', '', '2026-04-07', '']);
});

it('seconds stand where the instant is known to less than ten, at 95 %', () => {
  const row = (std: number) => runsTable([runOf({ startStdS: std, stopStdS: std })], figures)[3];
  expect(row(4.9)).toContain('06:12:31  06:14:02');
  expect(row(5.1)).toMatch(/06:13 +06:14 /);
});

it('level and pump tell the deepest drop and the latest index', () => {
  const told = conditionOf([
    dayOf({ date: '2026-04-06', levelDropM: 6, pumpIndex: 0.99 }),
    dayOf({ date: '2026-04-07', levelDropM: 4, pumpIndex: 0.9 }),
    dayOf({ date: '2026-04-08', levelDropM: 5, pumpIndex: null, pumpIndexStd: null }),
  ]);
  // 6 m is 19.7 ft
  expect(told).toContain('Level drop 20 ± 3 ft below the rested level, deepest on 2026-04-06.');
  expect(told).toContain('Pump index 90 ± 2 %, on 2026-04-07.');
});

it('a pumping level that is known is told as a depth', () => {
  const told = conditionOf([dayOf({ pumpingLevelM: 45.72, pumpingLevelMStd: 1.52 })]);
  // 150 ft and twice 5 ft
  expect(told).toContain('Pumping level 150 ± 10 ft below ground, deepest on 2026-04-06.');
});

it('energy below the floor by less than its uncertainty is no contradiction', () => {
  const close = dayOf({ energyPerVolumeJPerM3: 3.9e6, energyPerVolumeJPerM3Std: 2e5 });
  expect(conditionOf([close])).toContain('so 1.0 times the floor');
  const clear = dayOf({ energyPerVolumeJPerM3: 3.6e6, energyPerVolumeJPerM3Std: 2e5 });
  expect(conditionOf([clear])).toContain('below the least that physics allows');
});
