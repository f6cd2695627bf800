import { stepsOf, stepText } from '../parts/figures.ts';
import { useWidth } from '../parts/use-width.ts';

export interface Bar {
  name: string;
  /** In units as shown; null where not known. */
  used: number | null;
  usedSpread: number;
  lost: number | null;
  mark: '' | 'part' | 'open';
}

interface BarsProps {
  bars: readonly Bar[];
  unit: string;
  /** A usual one lies between these. */
  usual: [low: number, high: number] | null;
  spoken: string;
}

const HEIGHT = 230;
const EDGE = { left: 46, right: 8, top: 14, bottom: 24 };

/** Water as filled columns: what was used, below it what was lost, and the doubt of it. */
export function Bars({ bars, unit, usual, spoken }: BarsProps) {
  const [holder, width] = useWidth<HTMLDivElement>(700);
  const tops = bars.map(
    ({ used, lost, usedSpread }) => (used ?? 0) + Math.max(0, lost ?? 0) + usedSpread,
  );
  const most = Math.max(1e-9, ...tops, usual?.[1] ?? 0) * 1.05;
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
        {bars.map((bar, i) => {
          const x = EDGE.left + i * step + 0.14 * step;
          const w = Math.max(1, 0.72 * step);
          const lost = Math.max(0, bar.lost ?? 0);
          const used = Math.max(0, bar.used ?? 0);
          const topY = yOf(used + lost);
          return (
            <g key={bar.name}>
              <rect x={x} y={topY} width={w} height={yOf(lost) - topY} class={`used ${bar.mark}`} />
              {lost > 0 && (
                <rect
                  x={x}
                  y={yOf(lost)}
                  width={w}
                  height={bottom - yOf(lost)}
                  fill="url(#lost)"
                  class="lost"
                />
              )}
              {bar.used !== null && bar.usedSpread > 0 && step > 7 && (
                <path
                  d={`M${x + w / 2} ${yOf(used + lost + bar.usedSpread)}V${Math.min(bottom, yOf(Math.max(0, used + lost - bar.usedSpread)))}`}
                  class="spread"
                />
              )}
              {bar.used === null && (
                <text x={x + w / 2} y={bottom - 4} text-anchor="middle" class="small">
                  ?
                </text>
              )}
              {i % every === 0 && (
                <text x={x + w / 2} y={bottom + 16} text-anchor="middle" class="small">
                  {bar.name}
                </text>
              )}
            </g>
          );
        })}
        <path d={`M${EDGE.left} ${bottom}H${width - EDGE.right}`} class="line" />
        <text x={EDGE.left + 4} y={EDGE.top + 2} class="small strong">
          {unit}
        </text>
      </svg>
    </div>
  );
}
