import { localDate } from '../../src/base/zone.ts';
import type { RunEntry } from '../../src/model/study.ts';
import { levelDrop, lost, pumped, pumpIndex } from '../../src/report/day-quantities.ts';
import { type Estimate, type Shown as Kind, known, volumeKind } from '../../src/report/figures.ts';
import { WORDS } from '../../src/report/words.ts';
import type { Day } from '../data/outline.ts';
import { Plot, type Series } from '../drawing/plot.tsx';
import { timeMarks } from '../drawing/time-marks.ts';
import { scaleOf } from '../parts/figures.ts';
import { dateTime } from '../parts/times.ts';
import { middleAndWidth } from '../parts/usual.ts';
import { SAY } from '../words.ts';
import type { Shown } from './shown.ts';

interface TrendsProps {
  days: readonly Day[];
  runs: readonly RunEntry[];
  fromS: number;
  toS: number;
  shown: Shown;
}

interface Trend {
  name: string;
  kind: Kind;
  of(day: Day): Estimate;
}

const WHOLE_DAY_S = 86_400;
const EMPTY: Estimate = { value: null, std: null };

/** How tank, pump, level, switch and sensors go on, a dot a day with its doubt. */
export function Trends(props: TrendsProps) {
  const { days, runs, shown } = props;
  const byDate = runsByDate(runs, shown.figures.zone);
  const trends = trendsOf(byDate, shown);
  return (
    <>
      <ServicesOf {...props} />
      <div class="trends">
        {trends.map((trend) => (
          <TrendPlot key={trend.name} trend={trend} {...props} />
        ))}
        {days.length === 0 && <p role="status">{SAY.condition.trendNone}</p>}
      </div>
    </>
  );
}

/** What was done, which the upright lines stand for. */
function ServicesOf({ fromS, toS, shown: { well, figures } }: TrendsProps) {
  const done = well.services.filter(({ onS }) => onS >= fromS && onS <= toS);
  return (
    <ul class="caption">
      {done.map(({ onS, did }) => (
        <li key={onS}>{SAY.condition.service(did, dateTime(onS, figures.zone, Infinity))}</li>
      ))}
    </ul>
  );
}

function runsByDate(runs: readonly RunEntry[], zone: string): Map<string, RunEntry[]> {
  const found = new Map<string, RunEntry[]>();
  for (const run of runs) {
    const date = localDate(zone, Date.parse(run.start) / 1000);
    found.set(date, [...(found.get(date) ?? []), run]);
  }
  return found;
}

/** The middle of the runs of a day, and how far they lie apart. */
function middleOf(
  runs: readonly RunEntry[] | undefined,
  of: (run: RunEntry) => number | null,
): Estimate {
  const values = (runs ?? []).flatMap((run) => of(run) ?? []);
  if (values.length === 0) return EMPTY;
  const { middle, width } = middleAndWidth(values);
  return { value: middle, std: width };
}

function trendsOf(byDate: Map<string, RunEntry[]>, { figures }: Shown): Trend[] {
  const say = SAY.condition.trend;
  const perStart = (day: Day): Estimate => {
    const { value, std } = pumped(day, figures);
    if (value === null || day.starts === 0) return EMPTY;
    return { value: value / day.starts, std: (std ?? 0) / day.starts };
  };
  const ofRuns = (of: (run: RunEntry) => number | null) => (day: Day) =>
    middleOf(byDate.get(day.date), of);
  return [
    { name: say.tank, kind: volumeKind(figures), of: perStart },
    { name: say.index, kind: 'fraction', of: pumpIndex },
    { name: say.drop, kind: 'length', of: levelDrop },
    {
      name: say.level,
      kind: 'length',
      of: (day) => ({ value: day.pumpingLevelM, std: day.pumpingLevelMStd }),
    },
    {
      name: say.capacity,
      kind: 'specific-capacity',
      of: (day) => ({ value: day.specificCapacityM2PerS, std: day.specificCapacityM2PerSStd }),
    },
    { name: say.cutIn, kind: 'pressure', of: ofRuns((run) => run.cutInPaGauge) },
    { name: say.cutOut, kind: 'pressure', of: ofRuns((run) => run.cutOutPaGauge) },
    { name: say.amps, kind: 'current', of: ofRuns((run) => run.meanCurrentA) },
    { name: say.loss, kind: volumeKind(figures), of: (day) => lost(day, figures) },
    {
      name: say.covered,
      kind: 'fraction',
      of: (day) => ({ value: Math.min(1, day.coveredS / WHOLE_DAY_S), std: null }),
    },
  ];
}

const noonS = (date: string): number => Date.parse(`${date}T12:00:00Z`) / 1000;

interface Found {
  x: number;
  value: number;
  std: number;
}

const foundOf = (trend: Trend, days: readonly Day[]): Found[] =>
  days
    .filter(({ open }) => !open)
    .flatMap((day) => {
      const { value, std } = trend.of(day);
      return value === null ? [] : [{ x: noonS(day.date), value, std: std ?? 0 }];
    });

/** The band and the line of what was found, in units as shown, broken where days are missing. */
function seriesOf(found: readonly Found[], si: number): Series[] {
  const spans = brokenAt(found);
  const bands = spans.map((span): Series => {
    const points = span.map(({ x, value, std }) => {
      const [low, high] = [(value - 2 * std) / si, (value + 2 * std) / si];
      return { x, low, high };
    });
    return { kind: 'band', points, mark: 'band' };
  });
  const line = spans.flatMap((span) => [
    null,
    ...span.map(({ x, value }) => ({ x, y: value / si })),
  ]);
  // A day that stands alone makes no line.
  const alone = spans.filter((span) => span.length === 1).flat();
  const dots = alone.map(({ x, value }) => ({ x, y: value / si }));
  return [
    ...bands,
    { kind: 'line', points: line, mark: 'middle strong' },
    { kind: 'dots', points: dots, mark: 'dot-mark' },
  ];
}

function TrendPlot({ trend, days, fromS, toS, shown }: TrendsProps & { trend: Trend }) {
  const { figures, well } = shown;
  const { zone } = figures;
  const { unit, si } = scaleOf(trend.kind, figures);
  const found = foundOf(trend, days);
  const [first, last] = [found[0], found.at(-1)];
  const words = (one: Found) => known(one, trend.kind, figures, WORDS.drawdowns);
  const values = found.map(({ value }) => value / si);
  const marks = timeMarks(fromS, toS, zone, 6).map(({ atS, text }) => ({ at: atS, text }));
  const uprights = well.services
    .filter(({ onS }) => onS >= fromS && onS <= toS)
    .map(({ onS, did }) => ({
      at: onS,
      text: SAY.condition.service(did, dateTime(onS, zone, Infinity)),
    }));
  return (
    <figure>
      <figcaption>{trend.name}</figcaption>
      {first === undefined || last === undefined ? (
        <p class="caption">{SAY.condition.trendNone}</p>
      ) : (
        <Plot
          height={150}
          x={{ least: fromS, greatest: toS + WHOLE_DAY_S, unit: '', marks }}
          y={{
            unit: trend.kind === 'number' ? WORDS.drawdowns : unit,
            ...reachOf(trend, values),
          }}
          series={seriesOf(found, si)}
          uprights={uprights}
          spoken={SAY.condition.spokenTrend(trend.name, found.length, words(first), words(last))}
        />
      )}
    </figure>
  );
}

/** Shares run from nothing to all; the rest as the middles of the days do, bands cut where wild. */
function reachOf(
  { kind, name }: Trend,
  values: readonly number[],
): { least?: number; greatest?: number } {
  if (name === SAY.condition.trend.covered) return { least: 0, greatest: 105 };
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const room = Math.max(0.6 * (high - low), 0.12 * Math.abs(high));
  const least = kind === 'fraction' || low - room > 0 ? low - room : Math.min(0, low);
  return { least: Math.max(kind === 'fraction' ? 0 : least, least), greatest: high + room };
}

/** Runs of days without a hole of more than two between them. */
function brokenAt<T extends { x: number }>(points: readonly T[]): T[][] {
  const spans: T[][] = [];
  for (const point of points) {
    const last = spans.at(-1)?.at(-1);
    if (last !== undefined && point.x - last.x < 2.5 * WHOLE_DAY_S) spans.at(-1)!.push(point);
    else spans.push([point]);
  }
  return spans;
}
