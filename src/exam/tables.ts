import { median } from '../base/median.ts';
import { FAULT_NAMES } from '../model/faults.ts';
import type { Bin } from './calibration.ts';
import type { Healthy } from './healthy.ts';
import type { FaultTally, Share, Tally } from './tally.ts';

/** A table as rows of cells; the first row is the heading. */
export type Table = string[][];

const none = '-';
const percent = (hits: number, cases: number) =>
  cases === 0 ? none : `${Math.round((100 * hits) / cases)} %`;
const ofShare = ({ hits, cases }: Share) => percent(hits, cases);

/** A time as people say it: 40 s, 12 min, 3.5 h, 6 d. */
export function lasting(s: number): string {
  if (Number.isNaN(s)) return none;
  if (s < 100) return `${Math.round(s)} s`;
  if (s < 6000) return `${Math.round(s / 60)} min`;
  if (s < 48 * 3600) return `${(s / 3600).toFixed(1)} h`;
  return `${(s / 86_400).toFixed(1)} d`;
}

function levelsOf({ levels }: FaultTally): string {
  const parts = [
    ['f', levels.first.cases],
    ['p', levels.pair.cases],
    ['n', levels['not-judgeable'].cases],
  ] as const;
  return parts
    .filter(([, cases]) => cases > 0)
    .map(([letter, cases]) => `${letter}${cases}`)
    .join(' ');
}

function mistaken(tally: FaultTally): string {
  return [...tally.mistakenFor]
    .sort((a, b) => b[1] - a[1])
    .slice(0, 2)
    .map(([fault, cases]) => `${fault} ${cases}`)
    .join(', ');
}

/** One row a fault, in the order of the design's table. */
export function faultTable(tally: Tally): Table {
  const severities = [
    ...new Set([...tally.faults.values()].flatMap((t) => [...t.bySeverity.keys()])),
  ];
  severities.sort((a, b) => a - b);
  const head = ['fault', 'level', 'first', 'right', 'named'];
  const rest = ['delay', 'besides', 'taken for'];
  const rows = FAULT_NAMES.flatMap((name) => tally.faults.get(name) ?? []).map((t) => [
    t.fault,
    levelsOf(t),
    percent(t.first, t.cases),
    percent(t.right, t.cases),
    percent(t.named, t.cases),
    ...severities.map((s) => {
      const at = t.bySeverity.get(s);
      return at === undefined ? '' : `${at.hits}/${at.cases}`;
    }),
    lasting(median(t.delaysFromSeenS)),
    t.cases === 0 ? none : (t.besides / t.cases).toFixed(1),
    mistaken(t),
  ]);
  return [[...head, ...severities.map((s) => `${s}`), ...rest], ...rows];
}

/** The totals that the aims are held against, two tellers side by side. */
export function totalsTable(study: Tally, rules: Tally): Table {
  const row = (what: string, of: (tally: Tally) => Share, aim: string) => [
    what,
    `${of(study).cases}`,
    ofShare(of(study)),
    ofShare(of(rules)),
    aim,
  ];
  return [
    ['of sick wells', 'cases', 'study', 'fixed rules', 'aim'],
    row('can be named first: named first', (t) => t.levels.first, '95 %'),
    row('one of a pair: one of it first, the fault named', (t) => t.levels.pair, '97 %'),
    row('not judgeable: no wrong guess', (t) => t.levels['not-judgeable'], none),
    row('urgency now: told within 2 min of the first symptom', (t) => t.nowInTime, 'all'),
    row('two faults at once: each told right', (t) => t.two.right, none),
    row('two faults at once: each named', (t) => t.two.named, none),
  ];
}

export function healthyTable(study: Healthy, rules: Healthy): Table {
  const cells = ({ count, perYear, bound }: Healthy['byUrgency'][number]) => [
    `${count}`,
    perYear.toFixed(2),
    bound.toFixed(2),
  ];
  const head = ['urgency', 'study', 'a year', 'up to', 'rules', 'a year', 'up to'];
  const rows = study.byUrgency.map((row, i) => [
    row.urgency,
    ...cells(row),
    ...cells(rules.byUrgency[i]!),
  ]);
  return [head, ...rows];
}

export function calibrationTable(study: readonly Bin[], rules: readonly Bin[]): Table {
  const cells = (bin: Bin) => [
    `${bin.count}`,
    percent(bin.right, bin.count),
    Number.isNaN(bin.meanProbability) ? none : `${Math.round(100 * bin.meanProbability)} %`,
    Number.isNaN(bin.rightShare) ? none : `${Math.round(100 * bin.rightShare)} %`,
  ];
  const head = ['said at', 'study', 'right', 'said, weighted', 'right, weighted'];
  const rows = study.map((bin, i) => [
    `${Math.round(100 * bin.from)} to ${Math.round(100 * bin.to)} %`,
    ...cells(bin),
    `${rules[i]!.count}`,
    cells(rules[i]!)[3]!,
  ]);
  return [[...head, 'rules', 'right, weighted'], ...rows];
}

export function wayTable(study: Tally, rules: Tally): Table {
  const rows = [...study.by]
    .sort(([a], [b]) => a.localeCompare(b, 'en', { numeric: true }))
    .map(([way, of]) => [
      way,
      `${of.cases}`,
      ofShare(of),
      ofShare(rules.by.get(way) ?? { cases: 0, hits: 0 }),
    ]);
  return [['told right by', 'cases', 'study', 'fixed rules'], ...rows];
}

/** A table of plain text: the first column left, the last too where it holds words. */
export function asText(table: Table, width = 96): string {
  const columns = table[0]!.length;
  const wide = Array.from({ length: columns }, (_, c) =>
    Math.max(...table.map((row) => (row[c] ?? '').length)),
  );
  const words = (c: number) => c === 0 || table.slice(1).some((r) => /[a-z]{4}/.test(r[c] ?? ''));
  const left = Array.from({ length: columns }, (_, c) => words(c));
  return table
    .map((row) =>
      row
        .map((cell, c) => (left[c] ? cell.padEnd(wide[c]!) : cell.padStart(wide[c]!)))
        .join('  ')
        .slice(0, width)
        .trimEnd(),
    )
    .join('\n');
}

export function asMarkdown(table: Table): string {
  const [head, ...rows] = table as [string[], ...string[][]];
  const line = (cells: string[]) => `| ${cells.join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n');
}
