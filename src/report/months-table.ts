import { type DayEntry, isWhole } from '../model/study.ts';
import type { ServiceRecord } from '../model/well.ts';
import {
  cost,
  energy,
  estimates,
  type Gather,
  gathered,
  levelDrop,
  lost,
  mean,
  money,
  pumped,
  pumpIndex,
  total,
  used,
  volumes,
} from './day-quantities.ts';
import type { Estimate, Figures } from './figures.ts';
import { type Column, figureColumn, hanging, paragraph, table, wordColumn } from './layout.ts';
import { hoursMinutes, localMoment } from './moments.ts';
import { WORDS } from './words.ts';

/** Up to here the days themselves show how the well goes on. */
const DAYS_WITHOUT_MONTHS = 45;

interface Month {
  /** As `2025-12`. */
  name: string;
  days: DayEntry[];
  /** Days seen as a whole: those of part would pull the means down. */
  whole: DayEntry[];
  remarks: string[];
}

/** The calendar months of a long log, one row each; nothing for a short one. */
export function monthsTable(
  days: DayEntry[],
  services: ServiceRecord[],
  figures: Figures,
): string[] {
  if (days.length <= DAYS_WITHOUT_MONTHS) return [];
  const names = [...new Set(days.map((day) => monthOf(day.date)))];
  const months = names.map((name) => {
    const own = days.filter((day) => monthOf(day.date) === name);
    const remarks = [...serviceRemarks(services, name, figures), ...gapRemarks(own, figures)];
    return { name, days: own, whole: own.filter(isWhole), remarks };
  });
  const remarks = months.flatMap(({ name, remarks }) =>
    remarks.flatMap((text, i) => hanging(i === 0 ? name : '', text, { indent: 2, hang: 10 })),
  );
  return [
    ...table(columns(months, figures)),
    '',
    ...(remarks.length === 0 ? [] : [...paragraph(WORDS.monthRemarks), ...remarks, '']),
    ...paragraph(WORDS.monthsNote),
  ];
}

const monthOf = (date: string): string => date.slice(0, 7);

function columns(months: Month[], figures: Figures): Column[] {
  const { columns: heads } = WORDS;
  const ofDay = (of: (day: DayEntry, f: Figures) => Estimate) =>
    months.map(({ whole }) =>
      gathered(
        whole.map((day) => of(day, figures)),
        mean,
      ),
    );
  const ofMonth = (of: (day: DayEntry) => Estimate) =>
    months.map(({ days }) => gathered(days.map(of), total));
  const plain = (of: (day: DayEntry) => number, words: (value: number) => string) =>
    months.map(({ whole }) => cell(whole.map(of), mean, words));
  const starts = plain(
    (day) => day.starts,
    (count) => count.toFixed(1),
  );
  return [
    wordColumn(
      heads.month,
      months.map(({ name, remarks }) => name + (remarks.length ? '*' : '')),
    ),
    figureColumn(
      heads.days,
      '',
      months.map(({ whole }) => String(whole.length)),
    ),
    ...volumes(ofDay(used), heads.used, figures),
    ...volumes(ofDay(lost), heads.lost, figures),
    ...volumes(ofDay(pumped), heads.pumped, figures),
    figureColumn(heads.starts, '', starts),
    figureColumn(
      heads.runTime,
      heads.runTimeUnit,
      plain((day) => day.runS, hoursMinutes),
    ),
    ...estimates(ofMonth(energy), heads.energy, 'energy', figures),
    ...money(ofMonth(cost), figures),
    ...estimates(ofDay(levelDrop), heads.levelDrop, 'length', figures),
    ...estimates(ofDay(pumpIndex), heads.pumpIndex, 'fraction', figures),
  ];
}

const cell = (values: number[], gather: Gather, words: (value: number) => string): string =>
  values.length === 0 ? WORDS.notKnownCell : words(gather(values));

/** What was done to the well in a month. */
function serviceRemarks(services: ServiceRecord[], month: string, figures: Figures): string[] {
  return services
    .map(({ onS, did }) => ({
      date: localMoment(new Date(onS * 1000).toISOString(), figures.zone).slice(0, 10),
      did,
    }))
    .filter(({ date }) => monthOf(date) === month)
    .map(({ date, did }) => WORDS.service(did, date));
}

/** What some days of the month do not know: a sum lacks them, a mean says nothing of them. */
function gapRemarks(days: DayEntry[], figures: Figures): string[] {
  const whole = days.filter(isWhole);
  const { sums } = WORDS;
  const asked: [string, Estimate[]][] = [
    [sums.used, whole.map((day) => used(day, figures))],
    [sums.lost, whole.map((day) => lost(day, figures))],
    [sums.pumped, whole.map((day) => pumped(day, figures))],
    [sums.energy, days.map(energy)],
  ];
  return asked.flatMap(([name, all]) => {
    const known = gathered(all, total).days;
    return known === 0 || known === all.length ? [] : [WORDS.monthLacks(name, known, all.length)];
  });
}
