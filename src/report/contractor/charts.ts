import { quantile } from '../../base/quantile.ts';
import type { DayEntry, RunEntry, Study } from '../../model/study.ts';
import type { Well } from '../../model/well.ts';
import { displayUnit } from '../../units/format.ts';
import { levelDrop, lost, pumped, pumpIndex } from '../day-quantities.ts';
import { type Estimate, type Figures, type Shown, unitOf, volumeKind } from '../figures.ts';
import { localMoment, unixS } from '../moments.ts';
import { normalOf, type TracePoint } from '../normal-run.ts';
import { WORDS } from '../words.ts';
import type { Chart } from './sheet.ts';
import { CONTRACTOR } from './words.ts';

/** What was read round a run, in SI against seconds from its start. */
export interface RunTrace {
  run: RunEntry;
  pressure: TracePoint[];
  current: TracePoint[];
}

export interface Overlaid {
  now: RunTrace | null;
  past: RunTrace[];
}

const MOMENTS = 60;
const BEFORE_S = 6;
/** Of a run so many times as long as those of then the beginning is shown, or they were unseen. */
const LONGER = 4;
const DAY_S = 86_400;
export const TREND_DAYS = 60;

const siOf = (kind: Shown, { system }: Figures): number =>
  kind === 'number' ? 1 : displayUnit(kind, system).scale;

/** One run now over the runs of then, pressure and current. */
export function overlayCharts({ now, past }: Overlaid, figures: Figures): Chart[] {
  if (now === null) return [];
  return (['pressure', 'current'] as const).flatMap((pen) => overlay(pen, now, past, figures));
}

/** Middle of the runs of then [s]; NaN without any. */
const usualLengthS = (pen: 'pressure' | 'current', past: readonly RunTrace[]): number =>
  quantile(
    past.flatMap((trace) => trace[pen].at(-1)?.atS ?? []),
    0.5,
  );

function overlay(
  pen: 'pressure' | 'current',
  now: RunTrace,
  past: readonly RunTrace[],
  figures: Figures,
): Chart[] {
  const si = siOf(pen, figures);
  const usualS = usualLengthS(pen, past);
  const own = now[pen].filter(({ atS }) => atS >= -BEFORE_S && !(atS > LONGER * usualS));
  if (own.length < 2) return [];
  const lengthS = Math.max(20, own.at(-1)!.atS, usualS || 0);
  const step = (lengthS + BEFORE_S) / MOMENTS;
  const moments = Array.from({ length: MOMENTS + 1 }, (_, i) => i * step - BEFORE_S);
  const normal = normalOf(
    past.map((trace) => trace[pen]),
    moments,
  );
  const chart: Chart = {
    title: CONTRACTOR.overlay[pen](unitOf(pen, figures)),
    x: { least: -BEFORE_S, greatest: lengthS, unit: CONTRACTOR.sinceStart },
    y: { unit: unitOf(pen, figures), fromZero: pen === 'current' },
    bands: normal.map(({ atS, low, high }) => ({ x: atS, low: low / si, high: high / si })),
    lines: [
      {
        style: 'past',
        points: normal.map(({ atS, middle }) => ({ x: atS, y: middle / si })),
      },
      { style: 'now', points: own.map(({ atS, value }) => ({ x: atS, y: value / si })) },
    ],
    dots: [],
    uprights: [],
  };
  return [chart];
}

export function overlayNote({ now, past }: Overlaid, figures: Figures): string {
  if (now === null) return '';
  const isCut = (now.pressure.at(-1)?.atS ?? 0) > LONGER * usualLengthS('pressure', past);
  return CONTRACTOR.overlayNote(localMoment(now.run.start, figures.zone), past.length, isCut);
}

interface Trend {
  name(unit: string): string;
  kind: Shown;
  of(day: DayEntry): Estimate;
}

function trends(figures: Figures): Trend[] {
  const say = CONTRACTOR.trends;
  const volume = volumeKind(figures);
  const perStart = (day: DayEntry): Estimate => {
    const { value, std } = pumped(day, figures);
    const ofOne = (all: number | null) =>
      all === null || day.starts === 0 ? null : all / day.starts;
    return { value: ofOne(value), std: ofOne(std) };
  };
  return [
    { name: say.perStart, kind: volume, of: perStart },
    { name: say.index, kind: 'fraction', of: pumpIndex },
    { name: say.drop, kind: 'length', of: levelDrop },
    { name: say.lost, kind: volume, of: (day) => lost(day, figures) },
  ];
}

const noonS = ({ date }: DayEntry): number => Date.parse(`${date}T12:00:00Z`) / 1000;

/** The last sixty days, two quantities at most: those that are known on most of them. */
export function trendCharts(study: Study, well: Well, figures: Figures): Chart[] {
  const toS = unixS(study.span.to);
  const fromS = Math.max(toS - TREND_DAYS * DAY_S, unixS(study.span.from));
  const days = study.days.filter((day) => noonS(day) >= fromS - DAY_S);
  // Its noon may lie before the first reading or after the last; a dot stands on the paper still.
  const noons = days.map(noonS);
  const [least, greatest] = [Math.min(fromS, ...noons), Math.max(toS, ...noons)];
  const dotsOf = ({ kind, of }: Trend) => {
    const si = siOf(kind, figures);
    return days.flatMap((day) => {
      const { value } = of(day);
      return value === null ? [] : [{ x: noonS(day), y: value / si }];
    });
  };
  return trends(figures)
    .map((trend) => ({ trend, dots: dotsOf(trend) }))
    .filter(({ dots }) => dots.length >= 3)
    .sort((a, b) => b.dots.length - a.dots.length)
    .slice(0, 2)
    .map(({ trend, dots }) => {
      const unit = unitOf(trend.kind, figures, WORDS.drawdowns);
      return {
        title: trend.name(unit),
        x: { least, greatest, unit: '', marks: dateMarks(least, greatest) },
        y: { unit, fromZero: true },
        ...{ bands: [], lines: [], dots },
        uprights: well.services.map(({ onS }) => onS).filter((onS) => onS > fromS && onS < toS),
      };
    });
}

/** Up to four dates, midnights of UTC, at equal distances. */
function dateMarks(fromS: number, toS: number): { at: number; text: string }[] {
  const days = Math.max(1, Math.ceil((toS - fromS) / DAY_S / 4));
  const marks: { at: number; text: string }[] = [];
  for (let at = Math.ceil(fromS / DAY_S) * DAY_S; at <= toS; at += days * DAY_S)
    marks.push({ at, text: new Date(at * 1000).toISOString().slice(5, 10) });
  return marks;
}
