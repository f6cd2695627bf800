import { assert } from '../base/assert.ts';
import { ACT_CAUTIONS, CAUTIONS } from '../model/cautions.ts';
import type { RunEntry, Study } from '../model/study.ts';
import type { Well } from '../model/well.ts';
import { condition, drawsSummary } from './condition.ts';
import { daysTable } from './days-table.ts';
import { type Figures, figuresOf } from './figures.ts';
import { findingsText, testsText, unknownText } from './findings-text.ts';
import { head } from './head.ts';
import { paragraph, section } from './layout.ts';
import { localDayAndTime, localMoment } from './moments.ts';
import { monthsTable } from './months-table.ts';
import { runsTable } from './runs-table.ts';
import { testsDoneText } from './tests-done.ts';
import { WORDS } from './words.ts';

export interface TextOptions {
  /** How many of the last days stand in the tables, with all their runs. */
  days?: number;
}

const DEFAULT_DAYS = 14;
const DEFAULT_RUNS = 25;

/** The study as a keeper reads it in a terminal: plain words first, then the book of the well. */
export function studyText(study: Study, well: Well, options: TextOptions = {}): string {
  const asked = options.days;
  assert(asked === undefined || (Number.isInteger(asked) && asked >= 1), 'days is a whole number');
  const figures = figuresOf(study, well);
  const { titles } = WORDS;
  const days = study.days.slice(-(asked ?? DEFAULT_DAYS));
  const span = WORDS.logSpan(
    localMoment(study.span.from, figures.zone),
    localMoment(study.span.to, figures.zone),
    figures.zone,
  );
  const lines = [
    `${well.name} (${study.well})`,
    ...paragraph(span, 0),
    '',
    ...section(titles.head, head(study, figures)),
    ...section(titles.findings, findingsText(study, figures)),
    ...section(titles.months, monthsTable(study.days, well.services, figures)),
    ...section(titles.days, daysTable(days, study.days, figures)),
    ...section(titles.runs, runLines(study, options, figures)),
    ...section(titles.draws, drawsSummary(study.draws, figures)),
    ...section(titles.condition, condition(study, figures)),
    ...section(titles.testsDone, testsDoneText(study, figures)),
    ...section(titles.unknown, unknownText(study)),
    ...section(titles.tests, testsText(study)),
    ...section(
      titles.told,
      study.told.flatMap((text) => paragraph(text)),
    ),
    ...ACT_CAUTIONS['read-results'].flatMap((id) => paragraph(CAUTIONS[id], 0)),
  ];
  return `${lines.join('\n')}\n`;
}

/** The last runs, or all runs of the days asked for. */
function runLines(study: Study, options: TextOptions, figures: Figures): string[] {
  const asked = options.days;
  const runs =
    asked === undefined ? study.runs.slice(-DEFAULT_RUNS) : runsOfDays(study, asked, figures);
  const left = study.runs.length - runs.length;
  const allDays = Math.max(study.days.length, 1) + 1;
  const note = WORDS.shortened('runs', runs.length, study.runs.length, allDays);
  return [...runsTable(runs, figures), ...(left > 0 ? ['', ...paragraph(note)] : [])];
}

function runsOfDays(study: Study, days: number, figures: Figures): RunEntry[] {
  const dayOf = (instant: string) => localDayAndTime(instant, figures.zone, 0).day;
  const last = dayOf(study.span.to);
  const dates = new Set([...study.days.map((day) => day.date), last]);
  const first = [...dates].sort().at(-days) ?? '';
  return study.runs.filter((run) => dayOf(run.start) >= first);
}
