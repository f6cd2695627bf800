import type { Spread } from '../../src/base/median.ts';
import { levelDrop, lost, pumped, pumpIndex } from '../../src/report/day-quantities.ts';
import { type Estimate, type Shown as Kind, known, volumeKind } from '../../src/report/figures.ts';
import { WORDS } from '../../src/report/words.ts';
import type { Period } from '../data/days.ts';
import { Plot, type Series } from '../drawing/plot.tsx';
import { timeMarks } from '../drawing/time-marks.ts';
import { scaleOf } from '../parts/figures.ts';
import { dateTime } from '../parts/times.ts';
import { SAY } from '../words.ts';
import type { Shown } from './shown.ts';

interface TrendsProps {
  /** Days, or weeks where there are many. */
  days: readonly Period[];
  fromS: number;
  toS: number;
  shown: Shown;
}

interface Trend {
  name: string;
  kind: Kind;
  of(day: Period): Estimate;
}

const WHOLE_DAY_S = 86_400;
const EMPTY: Estimate = { value: null, std: null };

/** How tank, pump, level, switch and sensors go on, a dot a day with its doubt. */
export function Trends(props: TrendsProps) {
  const { days, shown } = props;
  const trends = trendsOf(shown);
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

/** The middle of the runs of a day, and how far they lie apart. */
const middleOf = (spread: Spread | null | undefined): Estimate =>
  spread == null ? EMPTY : { value: spread.middle, std: spread.width };

function trendsOf({ figures }: Shown): Trend[] {
  const say = SAY.condition.trend;
  const perStart = (day: Period): Estimate => {
    const { value, std } = pumped(day, figures);
    if (value === null || day.starts === 0) return EMPTY;
    return { value: value / day.starts, std: (std ?? 0) / day.starts };
  };
  const perDay = (day: Period): Estimate => {
    const { value, std } = lost(day, figures);
    const days = day.coveredS / WHOLE_DAY_S;
    return value === null || days === 0 ? EMPTY : { value: value / days, std: (std ?? 0) / days };
  };
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
    { name: say.cutIn, kind: 'pressure', of: ({ runs }) => middleOf(runs?.cutInPaGauge) },
    { name: say.cutOut, kind: 'pressure', of: ({ runs }) => middleOf(runs?.cutOutPaGauge) },
    { name: say.amps, kind: 'current', of: ({ runs }) => middleOf(runs?.meanCurrentA) },
    { name: say.loss, kind: volumeKind(figures), of: perDay },
    {
      name: say.covered,
      kind: 'fraction',
      of: (day) => ({ value: Math.min(1, day.coveredS / WHOLE_DAY_S / day.ofDays), std: null }),
    },
  ];
}

/** The middle of a day, or of a week that begins with it. */
const middleS = (day: Period): number =>
  Date.parse(`${day.date}T12:00:00Z`) / 1000 + 0.5 * (day.ofDays - 1) * WHOLE_DAY_S;

interface Found {
  x: number;
  value: number;
  std: number;
}

const foundOf = (trend: Trend, days: readonly Period[]): Found[] =>
  days
    .filter(({ open }) => !open)
    .flatMap((day) => {
      const { value, std } = trend.of(day);
      return value === null ? [] : [{ x: middleS(day), value, std: std ?? 0 }];
    });

/** The band and the line of what was found, in units as shown, broken where days are missing. */
function seriesOf(found: readonly Found[], si: number, stepS: number): Series[] {
  const spans = brokenAt(found, stepS);
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
  const weekly = days.some((day) => day.ofDays > 1);
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
          series={seriesOf(found, si, (weekly ? 7 : 1) * WHOLE_DAY_S)}
          uprights={uprights}
          spoken={SAY.condition.spokenTrend(
            `${trend.name}, ${SAY.condition.points(found.length, weekly)}`,
            words(first),
            words(last),
          )}
        />
      )}
    </figure>
  );
}

/** Shares run from nothing to all; the rest as the middles of the days do, bands cut where wild. */
function reachOf(
  { name }: Trend,
  values: readonly number[],
): { least?: number; greatest?: number } {
  if (name === SAY.condition.trend.covered) return { least: 0, greatest: 105 };
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const room = Math.max(0.6 * (high - low), 0.12 * Math.abs(high));
  return { least: low - room > 0 ? low - room : Math.min(0, low), greatest: high + room };
}

/** Runs of days, or of weeks, without a hole of more than one between them. */
function brokenAt<T extends { x: number }>(points: readonly T[], stepS: number): T[][] {
  const spans: T[][] = [];
  for (const point of points) {
    const last = spans.at(-1)?.at(-1);
    if (last !== undefined && point.x - last.x < 2.5 * stepS) spans.at(-1)!.push(point);
    else spans.push([point]);
  }
  return spans;
}
