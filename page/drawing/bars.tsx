import { stepsOf, stepText } from '../parts/figures.ts';
import { useWidth } from '../parts/use-width.ts';

export interface Bar {
  name: string;
  /** In units as shown; null where not known. */
  used: number | null;
  usedSpread: number;
  lost: number | null;
  mark: '' | 'part' | 'open' | 'hole';
}

interface BarsProps {
  bars: readonly Bar[];
  unit: string;
  /** A usual one lies between these. */
  usual: [low: number, high: number] | null;
  spoken: string;
}

const HEIGHT = 230;
/** A narrower column bears no upright for its doubt, px. */
const WIDE_ENOUGH = 7;
/** Half the width of a name below a column, px. */
const NAME_HALF = 20;
const EDGE = { left: 46, right: 8, top: 14, bottom: 24 };

/** Water as filled columns: what was used, below it what was lost, and the doubt of it. */
export function Bars({ bars, unit, usual, spoken }: BarsProps) {
  const [holder, width] = useWidth<HTMLDivElement>(700);
  const tops = bars.map(
    ({ used, lost, usedSpread }) => (used ?? 0) + Math.max(0, lost ?? 0) + usedSpread,
  );
  // Of hours without a drop the scale shows one unit.
  const most = 1.05 * (Math.max(...tops, usual?.[1] ?? 0) || 1);
  const rules = stepsOf(0, most, 4);
  const bottom = HEIGHT - EDGE.bottom;
  const yOf = (value: number) => bottom - (value / most) * (bottom - EDGE.top);
  const step = (width - EDGE.left - EDGE.right) / Math.max(1, bars.length);
  const every = Math.ceil(58 / step);
  return (
    <div class="plot" ref={holder}>
      <svg
        width={width}
        height={HEIGHT}
        viewBox={`0 0 ${width} ${HEIGHT}`}
        role="img"
        aria-label={spoken}
      >
        <defs>
          <pattern id="lost" width="5" height="5" patternUnits="userSpaceOnUse">
            <path d="M0 5L5 0M-1 1L1 -1M4 6L6 4" class="lost-hatch" />
          </pattern>
          <pattern id="open-day" width="6" height="6" patternUnits="userSpaceOnUse">
            <path d="M0 6L6 0M-1 1L1 -1M5 7L7 5" class="open-hatch" />
          </pattern>
          <pattern id="earth-hole" width="9" height="9" patternUnits="userSpaceOnUse">
            <path d="M0 9L9 0" class="hatch" />
          </pattern>
        </defs>
        {usual !== null && (
          <rect
            x={EDGE.left}
            y={yOf(usual[1])}
            width={width - EDGE.left - EDGE.right}
            height={Math.max(1, yOf(usual[0]) - yOf(usual[1]))}
            class="usual-band"
          />
        )}
        {rules.map((value) => (
          <g key={value}>
            <path d={`M${EDGE.left} ${yOf(value)}H${width - EDGE.right}`} class="rule" />
            <text x={EDGE.left - 5} y={yOf(value) + 4} text-anchor="end" class="small">
              {stepText(value, rules)}
            </text>
          </g>
        ))}
        {bars.map((bar, i) => (
          <Column
            key={bar.name}
            bar={bar}
            at={{ x: EDGE.left + i * step, step, right: width, bottom, yOf }}
            isNamed={i % every === 0}
          />
        ))}
        <path d={`M${EDGE.left} ${bottom}H${width - EDGE.right}`} class="line" />
        <text x={EDGE.left + 4} y={EDGE.top + 2} class="small strong">
          {unit}
        </text>
      </svg>
    </div>
  );
}

interface ColumnProps {
  bar: Bar;
  at: { x: number; step: number; right: number; bottom: number; yOf(value: number): number };
  isNamed: boolean;
}

function Column({ bar, at: { x: fromX, step, right, bottom, yOf }, isNamed }: ColumnProps) {
  const [x, w] = [fromX + 0.14 * step, Math.max(1, 0.72 * step)];
  const middle = x + w / 2;
  // The last name stays within the sheet.
  const nameX = Math.min(middle, right - NAME_HALF);
  const lost = Math.max(0, bar.lost ?? 0);
  const all = Math.max(0, bar.used ?? 0) + lost;
  const [lostY, top] = [yOf(lost), EDGE.top + 10];
  const isSpread = bar.used !== null && bar.usedSpread > 0 && step > WIDE_ENOUGH;
  const leastY = Math.min(bottom, yOf(Math.max(0, all - bar.usedSpread)));
  return (
    <g>
      <rect x={x} y={yOf(all)} width={w} height={lostY - yOf(all)} class={`used ${bar.mark}`} />
      {bar.mark === 'open' && (
        <rect x={x} y={yOf(all)} width={w} height={lostY - yOf(all)} fill="url(#open-day)" />
      )}
      {lost > 0 && (
        <rect x={x} y={lostY} width={w} height={bottom - lostY} fill="url(#lost)" class="lost" />
      )}
      {isSpread && <path d={`M${middle} ${yOf(all + bar.usedSpread)}V${leastY}`} class="spread" />}
      {bar.mark === 'hole' && (
        <rect x={x} y={top} width={w} height={bottom - top} fill="url(#earth-hole)" />
      )}
      {bar.used === null && bar.mark !== 'hole' && (
        <text x={middle} y={bottom - 4} text-anchor="middle" class="small">
          ?
        </text>
      )}
      {isNamed && (
        <text x={nameX} y={bottom + 16} text-anchor="middle" class="small">
          {bar.name}
        </text>
      )}
    </g>
  );
}
