import type { Study } from '../../src/model/study.ts';

/** Truth of a log, in the form of `rehearse` and of the sample logs. */
export interface Truth {
  days: {
    date: string;
    used_gal: number;
    leaked_gal: number;
    ran_back_gal: number;
    pumped_gal: number;
  }[];
  runs: { start: string; stop: string | null; pumped_gal: number }[];
}

export interface Comparison {
  /** Error of daily use, percent of the truth, of days that the log covers whole. */
  dayErrorsPercent: number[];
  daysCovered: number;
  runsTrue: number;
  runsFound: number;
  runsInvented: number;
  startErrorsS: number[];
  stopErrorsS: number[];
}

const GALLON_M3 = 0.003785411784;
const WHOLE_DAY_S = 86_000;

/**
 * Holds a study against the truth. A run is found if one of the study's meets it within `nearS`.
 */
export function compare(study: Study, truth: Truth, nearS: number): Comparison {
  const out: Comparison = {
    dayErrorsPercent: [],
    daysCovered: 0,
    runsTrue: truth.runs.length,
    runsFound: 0,
    runsInvented: 0,
    startErrorsS: [],
    stopErrorsS: [],
  };
  const trueDays = new Map(truth.days.map((day) => [day.date, day]));
  for (const day of study.days) {
    const real = trueDays.get(day.date);
    const usable = real !== undefined && real.used_gal > 1 && day.coveredS > WHOLE_DAY_S;
    if (!usable || day.usedM3 === null || day.usedM3Std === null) continue;
    const error = day.usedM3 / GALLON_M3 - real.used_gal;
    out.dayErrorsPercent.push((100 * error) / real.used_gal);
    if (Math.abs(error) <= (1.96 * day.usedM3Std) / GALLON_M3) out.daysCovered += 1;
  }
  compareRuns(study, truth, nearS, out);
  return out;
}

function compareRuns(study: Study, truth: Truth, nearS: number, out: Comparison): void {
  const seconds = (instant: string): number => Date.parse(instant) / 1000;
  const ours = study.runs.map((run) => ({
    startS: seconds(run.start),
    stopS: run.stop === null ? Infinity : seconds(run.stop),
  }));
  const met = new Set<number>();
  let from = 0;
  for (const run of truth.runs) {
    const startS = seconds(run.start);
    const stopS = run.stop === null ? Infinity : seconds(run.stop);
    while (from < ours.length && ours[from]!.stopS < startS - nearS) from += 1;
    const hit = ours[from];
    if (hit === undefined || hit.startS > stopS + nearS) continue;
    out.runsFound += 1;
    if (!met.has(from)) {
      out.startErrorsS.push(hit.startS - startS);
      if (Number.isFinite(hit.stopS) && Number.isFinite(stopS))
        out.stopErrorsS.push(hit.stopS - stopS);
    }
    met.add(from);
  }
  out.runsInvented = ours.length - met.size;
}

function quantile(values: number[], share: number): number {
  const sorted = values.slice().sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? NaN;
}

const rms = (values: number[]): number =>
  Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);

/** One line of the table: what was compared, and how it went. */
export function line(name: string, list: Comparison[]): string {
  const days = list.flatMap((c) => c.dayErrorsPercent);
  const sizes = days.map(Math.abs);
  const covered = list.reduce((sum, c) => sum + c.daysCovered, 0);
  const sum = (pick: (c: Comparison) => number): number => list.reduce((s, c) => s + pick(c), 0);
  const bias = days.reduce((s, v) => s + v, 0) / days.length;
  const starts = list.flatMap((c) => c.startErrorsS);
  const cells = [
    name.padEnd(34),
    `${quantile(sizes, 0.5).toFixed(2)}`.padStart(7),
    `${quantile(sizes, 0.95).toFixed(1)}`.padStart(7),
    `${bias.toFixed(1)}`.padStart(7),
    `${((100 * covered) / days.length).toFixed(0)}`.padStart(6),
    `${days.length}`.padStart(6),
    `${sum((c) => c.runsTrue)}`.padStart(7),
    `${sum((c) => c.runsTrue - c.runsFound)}`.padStart(7),
    `${sum((c) => c.runsInvented)}`.padStart(9),
    `${rms(starts).toFixed(1)}`.padStart(8),
  ];
  return cells.join('');
}

export const HEADING = [
  'log'.padEnd(34),
  'median%'.padStart(7),
  'p95%'.padStart(7),
  'bias%'.padStart(7),
  'cover%'.padStart(7),
  'days'.padStart(5),
  'runs'.padStart(7),
  'missed'.padStart(7),
  'invented'.padStart(9),
  'start s'.padStart(8),
].join('');
