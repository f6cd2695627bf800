import type { RunEntry } from '../model/study.ts';
import { bare, bareGauge, type Figures, unitOf, volumeKind, volumeOf } from './figures.ts';
import { type Column, figureColumn, paragraph, table, wordColumn } from './layout.ts';
import { localDayAndTime } from './moments.ts';
import { BEGUN_WORDS, ENDED_WORDS, RUN_WORDS, WORDS } from './words.ts';

/** The runs as a driller keeps his book: one line a run, a remark where it was not a plain one. */
export function runsTable(runs: RunEntry[], figures: Figures): string[] {
  if (runs.length === 0) return paragraph(WORDS.noRuns);
  const { columns: heads } = WORDS;
  const pressure = unitOf('pressure', figures);
  const cutIns = runs.map((run) => bareGauge(run.cutInPaGauge, 'pressure', figures));
  const cutOuts = runs.map((run) => bareGauge(run.cutOutPaGauge, 'pressure', figures));
  const amps = runs.map((run) => bareGauge(run.meanCurrentA, 'current', figures));
  const kind = volumeKind(figures);
  const volumes = runs.map((run) => bare(volumeOf(run, 'pumped', figures), kind, figures));
  const remarks = runs.map(remark);
  return table([
    ...times(runs, figures),
    figureColumn(heads.cutIn, pressure, cutIns),
    figureColumn(heads.cutOut, pressure, cutOuts),
    figureColumn(heads.amps, unitOf('current', figures), amps),
    figureColumn(heads.pumped, unitOf(kind, figures, WORDS.drawdowns), volumes),
    ...(remarks.some((text) => text !== '') ? [wordColumn(heads.remarks, remarks)] : []),
  ]);
}

/** Date, start and stop; the date stands where it changes. */
function times(runs: RunEntry[], figures: Figures): Column[] {
  const starts = runs.map((run) => localDayAndTime(run.start, figures.zone, run.startStdS));
  const dates = starts.map(({ day }, i) => (day === starts[i - 1]?.day ? '' : day));
  const stops = runs.map(({ stop, stopStdS }) =>
    stop === null ? WORDS.notKnownCell : localDayAndTime(stop, figures.zone, stopStdS).time,
  );
  return [
    wordColumn(WORDS.columns.date, dates),
    wordColumn(
      WORDS.columns.start,
      starts.map(({ time }) => time),
    ),
    wordColumn(WORDS.columns.stop, stops),
  ];
}

/** What was not plain about a run; empty where all was. */
export function remark(run: RunEntry): string {
  const notes = [BEGUN_WORDS[run.begun], ENDED_WORDS[run.ended].remark];
  if (run.breaks > 0) notes.push(RUN_WORDS.breaks(run.breaks));
  if (run.foundBy === 'pressure') notes.push(RUN_WORDS.byPressure);
  return notes.filter(Boolean).join('; ');
}
