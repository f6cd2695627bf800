import { median } from '../base/median.ts';
import { type DayEntry, isWhole } from '../model/study.ts';
import {
  cost,
  energy,
  estimates,
  type Gather,
  gathered,
  levelDrop,
  lost,
  money,
  pumped,
  pumpIndex,
  total,
  used,
  volumes,
} from './day-quantities.ts';
import { type Estimate, type Figures, full, fullVolume } from './figures.ts';
import { type Column, figureColumn, paragraph, table, wordColumn } from './layout.ts';
import { hoursMinutes } from './moments.ts';
import { WORDS } from './words.ts';

/** The days of the log, then their sum and the typical one. */
export function daysTable(days: DayEntry[], all: DayEntry[], figures: Figures): string[] {
  if (all.length === 0) return paragraph(WORDS.noDays);
  const part = days.some((day) => !isWhole(day));
  return [
    ...table(columns(days, figures)),
    '',
    ...(part ? paragraph(WORDS.partDayNote) : []),
    ...(days.length < all.length
      ? paragraph(WORDS.shortened('days', days.length, all.length, all.length))
      : []),
    ...paragraph(WORDS.daysNote),
    ...(all.length > 1 ? ['', ...summary(WORDS.total(all.length), all, total, figures)] : []),
    ...(all.length > 1 ? summary(WORDS.typicalDay, all.filter(isWhole), median, figures) : []),
  ];
}

function columns(days: DayEntry[], figures: Figures): Column[] {
  const { columns: heads } = WORDS;
  const dates = days.map((day) => day.date + (isWhole(day) ? '' : WORDS.partDay));
  const starts = days.map((day) => String(day.starts));
  const times = days.map((day) => hoursMinutes(day.runS));
  return [
    wordColumn(heads.date, dates),
    ...volumes(
      days.map((day) => used(day, figures)),
      heads.used,
      figures,
    ),
    ...volumes(
      days.map((day) => lost(day, figures)),
      heads.lost,
      figures,
    ),
    ...volumes(
      days.map((day) => pumped(day, figures)),
      heads.pumped,
      figures,
    ),
    figureColumn(heads.starts, '', starts),
    figureColumn(heads.runTime, heads.runTimeUnit, times),
    ...estimates(days.map(energy), heads.energy, 'energy', figures),
    ...money(days.map(cost), figures),
    ...estimates(days.map(levelDrop), heads.levelDrop, 'length', figures),
    ...estimates(days.map(pumpIndex), heads.pumpIndex, 'fraction', figures),
  ];
}

/** One sentence for several days: each quantity gathered over the days that know it. */
function summary(label: string, days: DayEntry[], gather: Gather, figures: Figures): string[] {
  if (days.length === 0) return [];
  const { sums } = WORDS;
  const told = (of: (day: DayEntry) => Estimate, words: (e: Estimate) => string): string => {
    const found = gathered(days.map(of), gather);
    const all = found.days === 0 || found.days === days.length;
    return words(found) + (all ? '' : ` ${WORDS.someDays(found.days, days.length)}`);
  };
  const volume = (of: (day: DayEntry, f: Figures) => Estimate) =>
    told(
      (day) => of(day, figures),
      (estimate) => fullVolume(estimate, figures),
    );
  const money = (estimate: Estimate) => full(estimate, 'number', figures, figures.currency);
  const parts = [
    `${sums.used} ${volume(used)}`,
    `${sums.lost} ${volume(lost)}`,
    `${sums.pumped} ${volume(pumped)}`,
    `${Math.round(gather(days.map((day) => day.starts)))} ${sums.starts}`,
    `${hoursMinutes(gather(days.map((day) => day.runS)))} ${sums.run}`,
    `${sums.energy} ${told(energy, (estimate) => full(estimate, 'energy', figures))}`,
    ...(days.some((day) => day.cost !== null) ? [`${sums.cost} ${told(cost, money)}`] : []),
  ];
  return paragraph(`${label}: ${parts.join(', ')}.`);
}
