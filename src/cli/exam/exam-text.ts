import { calibrationOf } from '../../exam/calibration.ts';
import type { CaseRecord } from '../../exam/case-record.ts';
import { healthyOf } from '../../exam/healthy.ts';
import {
  asMarkdown,
  asText,
  calibrationTable,
  faultTable,
  healthyTable,
  type Table,
  totalsTable,
  wayTable,
} from '../../exam/tables.ts';
import { tallyOf } from '../../exam/tally.ts';

/** What an exam was made of, for its head. */
export interface ExamHead {
  command: string;
  seedFrom: number;
  tookS: number;
}

interface Part {
  title: string;
  before: string[];
  table: Table | null;
  after: string[];
}

function partsOf(records: readonly CaseRecord[]): Part[] {
  const study = tallyOf(records, 'study');
  const rules = tallyOf(records, 'rules');
  const sound = healthyOf(records, 'study');
  const soundRules = healthyOf(records, 'rules');
  const unseen = [...study.faults.values()].filter((t) => t.unseen > 0);
  const most = (faults: [string, number][]) =>
    faults
      .slice(0, 6)
      .map(([fault, count]) => `${fault} ${count}`)
      .join(', ') || 'nothing';
  return [
    { title: 'In short', before: [], table: totalsTable(study, rules), after: [] },
    {
      title: 'Sound wells: false findings a well-year, with the 95 % upper bound',
      before: [`${sound.wells} wells, ${sound.years.toFixed(2)} well-years.`],
      table: sound.wells === 0 ? null : healthyTable(sound, soundRules),
      after: [
        `Study said: ${most(sound.byFault)}.`,
        `Fixed rules said: ${most(soundRules.byFault)}.`,
        `Before the onset, in ${study.early.cases} wells that fell sick later: ` +
          `${study.early.findings} findings by study, ${rules.early.findings} by fixed rules.`,
      ],
    },
    {
      title: 'Fault by fault: study',
      before: [],
      table: faultTable(study),
      after: unseenIn(unseen),
    },
    { title: 'Fault by fault: fixed rules', before: [], table: faultTable(rules), after: [] },
    {
      title: 'Calibration, weighted to how often such wells are met',
      before: [],
      table: calibrationTable(calibrationOf(records, 'study'), calibrationOf(records, 'rules')),
      after: [],
    },
    { title: 'By how it was measured', before: [], table: wayTable(study, rules), after: [] },
  ];
}

function unseenIn(tallies: { fault: string; unseen: number }[]): string[] {
  if (tallies.length === 0) return [];
  const list = tallies.map((t) => `${t.fault} ${t.unseen}`).join(', ');
  return [`Left out, for nothing differed from a sound well: ${list}.`];
}

/** The exam as plain text of 96 columns. */
export function examText(records: readonly CaseRecord[]): string {
  const parts = partsOf(records).filter(({ table }) => table !== null && table.length > 1);
  return parts
    .map(({ title, before, table, after }) =>
      [title, ...before, asText(table!), ...after.map((line) => wrapped(line)), ''].join('\n'),
    )
    .join('\n');
}

function wrapped(text: string, width = 96): string {
  const lines = [''];
  for (const word of text.split(' ')) {
    if (`${lines.at(-1)} ${word}`.length > width) lines.push(word);
    else lines[lines.length - 1] = `${lines.at(-1)} ${word}`.trim();
  }
  return lines.join('\n');
}

/** The exam as a page to be kept. */
export function examReport(records: readonly CaseRecord[], head: ExamHead): string {
  const sick = records.filter((record) => record.faults.length > 0).length;
  const intro = [
    '# Result of the exam',
    '',
    `Made by \`${head.command}\`: ${sick} sick wells and ${records.length - sick} sound ones, ` +
      `seeds from ${head.seedFrom} on, ${Math.round(head.tookS / 60)} min. ` +
      '[What is measured and how to read it](exam.md).',
    '',
  ];
  const parts = partsOf(records)
    .filter(({ table }) => table !== null && table.length > 1)
    .flatMap(({ title, before, table, after }) => [
      `## ${title}`,
      '',
      ...before.flatMap((line) => [line, '']),
      asMarkdown(table!),
      '',
      ...after.flatMap((line) => [line, '']),
    ]);
  return `${[...intro, ...parts].join('\n').trimEnd()}\n`;
}
