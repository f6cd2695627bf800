import { stepsOf, stepText } from '../parts/figures.ts';
import { useWidth } from '../parts/use-width.ts';

export interface Point {
  x: number;
  y: number;
}

/** Points in units as shown; a break in a line is a null. */
export type Series =
  | { kind: 'line'; points: readonly (Point | null)[]; mark: string }
  | { kind: 'band'; points: readonly { x: number; low: number; high: number }[]; mark: string }
  | { kind: 'dots'; points: readonly Point[]; mark: string };

export interface PlotProps {
  height: number;
  x: {
    least: number;
    greatest: number;
    marks?: readonly { at: number; text: string }[];
    unit: string;
  };
  y: { unit: string; least?: number; greatest?: number };
  series: readonly Series[];
  /** Upright lines, with what they mean. */
  uprights?: readonly { at: number; text: string }[];
  /** What is drawn, in words. */
  spoken: string;
}

const EDGE = { left: 46, right: 10, top: 22, bottom: 24, unit: 16 };

/** Quantities against one another, on squared paper. */
export function Plot({ height, x, y, series, uprights = [], spoken }: PlotProps) {
  const [holder, width] = useWidth<HTMLDivElement>(420);
  const wanted = Math.max(2, Math.floor(height / 44));
  const [least, greatest] = reach(series, y);
  const rules = stepsOf(least, greatest, wanted);
  const along = stepsOf(x.least, x.greatest, Math.max(3, Math.floor(width / 90)));
  const marks = x.marks ?? along.map((at) => ({ at, text: stepText(at, along) }));
  const right = width - EDGE.right;
  const bottom = height - EDGE.bottom - (x.unit === '' ? 0 : EDGE.unit);
  const xOf = (value: number) =>
    EDGE.left + ((value - x.least) / (x.greatest - x.least || 1)) * (right - EDGE.left);
  const yOf = (value: number) =>
    bottom - ((value - least) / (greatest - least || 1)) * (bottom - EDGE.top);
  return (
    <div class="plot" ref={holder}>
      <svg
        width={width}
        height={height}
        viewBox={`0 0 ${width} ${height}`}
        role="img"
        aria-label={spoken}
      >
        {rules.map((value) => (
          <g key={value}>
            <path d={`M${EDGE.left} ${yOf(value)}H${right}`} class="rule" />
            <text x={EDGE.left - 5} y={yOf(value) + 4} text-anchor="end" class="small">
              {stepText(value, rules)}
            </text>
          </g>
        ))}
        <Uprights marks={marks} xOf={xOf} bottom={bottom} />
        <path d={`M${EDGE.left} ${EDGE.top}V${bottom}H${right}`} class="thin" />
        <svg
          x={EDGE.left}
          y={EDGE.top}
          width={right - EDGE.left}
          height={bottom - EDGE.top}
          viewBox={`${EDGE.left} ${EDGE.top} ${right - EDGE.left} ${bottom - EDGE.top}`}
          aria-hidden="true"
        >
          {series.map((one, i) => (
            <g key={i}>{drawn(one, xOf, yOf)}</g>
          ))}
        </svg>
        {uprights.map(({ at, text }) => (
          <path key={`${at}${text}`} d={`M${xOf(at)} ${EDGE.top}V${bottom}`} class="service-line">
            <title>{text}</title>
          </path>
        ))}
        <text x={EDGE.left} y={EDGE.top - 7} class="small strong">
          {y.unit}
        </text>
        {x.unit !== '' && (
          <text x={right} y={height - 3} text-anchor="end" class="small strong">
            {x.unit}
          </text>
        )}
      </svg>
    </div>
  );
}

interface UprightsProps {
  marks: readonly { at: number; text: string }[];
  xOf: Of;
  bottom: number;
}

/** The rules from top to bottom, named below where there is room. */
function Uprights({ marks, xOf, bottom }: UprightsProps) {
  const named = withRoom(marks, xOf);
  return marks.map(({ at, text }) => (
    <g key={at}>
      <path d={`M${xOf(at)} ${EDGE.top}V${bottom}`} class="rule" />
      {named.has(at) && (
        <text x={xOf(at)} y={bottom + 16} text-anchor="middle" class="small">
          {text}
        </text>
      )}
    </g>
  ));
}

/** A letter of a mark is about so wide, px, and marks lie so far apart at least. */
const [LETTER, APART] = [7.2, 10];

/** Marks whose texts do not run into the one before. */
function withRoom(marks: readonly { at: number; text: string }[], xOf: Of): Set<number> {
  const named = new Set<number>();
  let endX = Number.NEGATIVE_INFINITY;
  for (const { at, text } of marks) {
    const half = (text.length * LETTER) / 2;
    if (xOf(at) - half < endX + APART) continue;
    named.add(at);
    endX = xOf(at) + half;
  }
  return named;
}

function reach(series: readonly Series[], { least, greatest }: PlotProps['y']): [number, number] {
  const values = series.flatMap((one) =>
    one.kind === 'band'
      ? one.points.flatMap(({ low, high }) => [low, high])
      : one.points.flatMap((point) => (point === null ? [] : [point.y])),
  );
  let low = least ?? Math.min(...values, Number.POSITIVE_INFINITY);
  let high = greatest ?? Math.max(...values, Number.NEGATIVE_INFINITY);
  if (!Number.isFinite(low) || !Number.isFinite(high)) return [0, 1];
  if (low === high) [low, high] = [low - 1, high + 1];
  const room = 0.06 * (high - low);
  return [least ?? low - room, greatest ?? high + room];
}

type Of = (value: number) => number;

function drawn(series: Series, xOf: Of, yOf: Of) {
  if (series.kind === 'dots')
    return series.points.map(({ x, y }) => (
      <circle key={`${x}/${y}`} cx={xOf(x)} cy={yOf(y)} r={3} class={series.mark} />
    ));
  if (series.kind === 'band')
    return <path d={bandPath(series.points, xOf, yOf)} class={series.mark} />;
  let down = false;
  const path = series.points.map((point) => {
    const move = down ? 'L' : 'M';
    down = point !== null;
    return point === null ? '' : `${move}${xOf(point.x).toFixed(1)} ${yOf(point.y).toFixed(1)}`;
  });
  return <path d={path.join('')} class={series.mark} />;
}

function bandPath(
  points: readonly { x: number; low: number; high: number }[],
  xOf: Of,
  yOf: Of,
): string {
  const at = (x: number, y: number) => `${xOf(x).toFixed(1)} ${yOf(y).toFixed(1)}`;
  const up = points.map(({ x, high }) => at(x, high));
  const back = points.toReversed().map(({ x, low }) => at(x, low));
  return points.length === 0 ? '' : `M${[...up, ...back].join('L')}Z`;
}
