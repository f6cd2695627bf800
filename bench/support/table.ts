import type { Comparison } from './compare.ts';

/** What the table shows and `--json` writes; NaN (null in JSON) where nothing was compared. */
export interface Figures {
  days: number;
  daysUnknown: number;
  dayMedianPercent: number;
  day95Percent: number;
  dayBiasPercent: number;
  dayWidthMedianPercent: number;
  daysHeldPercent: number;
  runsTrue: number;
  runsFound: number;
  runsMissed: number;
  runsInvented: number;
  runsSplit: number;
  runsMerged: number;
  startRmsS: number;
  stopRmsS: number;
  runMedianPercent: number;
  runBiasPercent: number;
}

const mean = (values: number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;
const rms = (values: number[]): number => Math.sqrt(mean(values.map((v) => v * v)));
const sizes = (values: number[]): number[] => values.map(Math.abs);

/** Nearest rank: the smallest value that at least this share of the values do not exceed. */
function quantile(values: number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)] ?? Number.NaN;
}

/** The figures of one well, or of several taken together. */
export function figuresOf(list: Comparison[]): Figures {
  const all = (pick: (c: Comparison) => number[]): number[] => list.flatMap(pick);
  const sum = (pick: (c: Comparison) => number): number => list.reduce((s, c) => s + pick(c), 0);
  const days = all((c) => c.dayErrorsPercent);
  const runs = all((c) => c.runErrorsPercent);
  return {
    days: days.length,
    daysUnknown: sum((c) => c.daysUnknown),
    dayMedianPercent: quantile(sizes(days), 0.5),
    day95Percent: quantile(sizes(days), 0.95),
    dayBiasPercent: mean(days),
    dayWidthMedianPercent: quantile(
      all((c) => c.dayWidthsPercent),
      0.5,
    ),
    daysHeldPercent: (100 * sum((c) => c.daysHeld)) / days.length,
    runsTrue: sum((c) => c.runsTrue),
    runsFound: sum((c) => c.runsFound),
    runsMissed: sum((c) => c.runsTrue - c.runsFound),
    runsInvented: sum((c) => c.runsInvented),
    runsSplit: sum((c) => c.runsSplit),
    runsMerged: sum((c) => c.runsMerged),
    startRmsS: rms(all((c) => c.startErrorsS)),
    stopRmsS: rms(all((c) => c.stopErrorsS)),
    runMedianPercent: quantile(sizes(runs), 0.5),
    runBiasPercent: mean(runs),
  };
}

const NAME_WIDTH = 54;
const COLUMNS: [heading: string, pick: (f: Figures) => number, decimals: number][] = [
  ['days', (f) => f.days, 0],
  ['unknown', (f) => f.daysUnknown, 0],
  ['median%', (f) => f.dayMedianPercent, 2],
  ['p95%', (f) => f.day95Percent, 1],
  ['bias%', (f) => f.dayBiasPercent, 1],
  ['±95%', (f) => f.dayWidthMedianPercent, 1],
  ['held%', (f) => f.daysHeldPercent, 0],
  ['runs', (f) => f.runsTrue, 0],
  ['found', (f) => f.runsFound, 0],
  ['missed', (f) => f.runsMissed, 0],
  ['invented', (f) => f.runsInvented, 0],
  ['split', (f) => f.runsSplit, 0],
  ['merged', (f) => f.runsMerged, 0],
  ['start s', (f) => f.startRmsS, 1],
  ['stop s', (f) => f.stopRmsS, 1],
  ['run%', (f) => f.runMedianPercent, 1],
  ['runbias%', (f) => f.runBiasPercent, 1],
];

const cell = (text: string, heading: string): string =>
  text.padStart(Math.max(7, heading.length + 1));

export const HEADING =
  'log'.padEnd(NAME_WIDTH) + COLUMNS.map(([heading]) => cell(heading, heading)).join('');

export function line(name: string, figures: Figures): string {
  const cells = COLUMNS.map(([heading, pick, decimals]) => {
    const value = pick(figures);
    return cell(Number.isNaN(value) ? '-' : value.toFixed(decimals), heading);
  });
  return name.padEnd(NAME_WIDTH) + cells.join('');
}
