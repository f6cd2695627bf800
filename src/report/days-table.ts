import type { DayEntry } from '../model/study.ts';
import {
  bare,
  bareKnown,
  type Estimate,
  type Figures,
  full,
  fullVolume,
  type Shown,
  unitOf,
  volumeKind,
  volumeOf,
} from './figures.ts';
import { type Column, figureColumn, paragraph, table, wordColumn } from './layout.ts';
import { hoursMinutes } from './moments.ts';
import { WORDS } from './words.ts';

/** A day counts as whole from here on, so that the short day of the clock change does too. */
const WHOLE_DAY_S = 22.75 * 3600;

const isWhole = (day: DayEntry) => day.coveredS >= WHOLE_DAY_S;

const used = (day: DayEntry, f: Figures) => volumeOf(day, 'used', f);
const lost = (day: DayEntry, f: Figures) => volumeOf(day, 'loss', f);
const pumped = (day: DayEntry, f: Figures) => volumeOf(day, 'pumped', f);
const energy = (day: DayEntry) => ({ value: day.energyJ, std: day.energyJStd });
const cost = (day: DayEntry) => ({ value: day.cost, std: day.costStd });
const levelDrop = (day: DayEntry) => ({ value: day.levelDropM, std: day.levelDropMStd });
const pumpIndex = (day: DayEntry) => ({ value: day.pumpIndex, std: day.pumpIndexStd });

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
  const volumes = (head: string, of: (day: DayEntry, f: Figures) => Estimate) =>
    estimates(
      days.map((day) => of(day, figures)),
      head,
      volumeKind(figures),
      figures,
    );
  return [
    wordColumn(heads.date, dates),
    ...volumes(heads.used, used),
    ...volumes(heads.lost, lost),
    ...volumes(heads.pumped, pumped),
    figureColumn(heads.starts, '', starts),
    figureColumn(heads.runTime, heads.runTimeUnit, times),
    ...estimates(days.map(energy), heads.energy, 'energy', figures),
    ...money(days, figures),
    ...estimates(days.map(levelDrop), heads.levelDrop, 'length', figures),
    ...estimates(days.map(pumpIndex), heads.pumpIndex, 'fraction', figures),
  ];
}

/** One column, or none when no day knows it. */
function estimates(all: Estimate[], head: string, kind: Shown, figures: Figures): Column[] {
  if (all.every((estimate) => estimate.value === null)) return [];
  const cells = all.map((estimate) => bare(estimate, kind, figures));
  return [figureColumn(head, unitOf(kind, figures, WORDS.drawdowns), cells)];
}

/** Costs go without their ±, which the energy beside them has. */
function money(days: DayEntry[], figures: Figures): Column[] {
  if (days.every((day) => day.cost === null)) return [];
  const cells = days.map((day) => bareKnown(cost(day), 'number', figures));
  return [figureColumn(WORDS.columns.cost, figures.currency, cells)];
}

type Gather = (values: number[]) => number;

/**
 * Sums. Uncertainties are added as they are: what makes the days uncertain (the scale, the power
 * factor) is the same on each of them, so they do not average out.
 */
const total: Gather = (values) => values.reduce((sum, value) => sum + value, 0);

const median: Gather = (values) => {
  const sorted = values.toSorted((a, b) => a - b);
  const middle = sorted.length >> 1;
  const upper = sorted[middle] ?? Number.NaN;
  return sorted.length % 2 === 1 ? upper : (upper + (sorted[middle - 1] ?? Number.NaN)) / 2;
};

interface Gathered extends Estimate {
  /** Days that know the quantity. */
  days: number;
}

function gathered(all: Estimate[], gather: Gather): Gathered {
  const known = all.filter((e): e is { value: number; std: number } => e.value !== null);
  if (known.length === 0) return { value: null, std: null, days: 0 };
  const value = gather(known.map((e) => e.value));
  return { value, std: gather(known.map((e) => e.std)), days: known.length };
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
