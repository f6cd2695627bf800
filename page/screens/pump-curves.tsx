import type { Outline, PumpPoint, RunEntry } from '../../src/model/study.ts';
import { type Figures, full, gauge } from '../../src/report/figures.ts';
import { WORDS } from '../../src/report/words.ts';
import { Plot, type Point, type Series } from '../drawing/plot.tsx';
import { scaleOf } from '../parts/figures.ts';
import { SAY } from '../words.ts';

interface CurvesProps {
  outline: Outline | null;
  runs: readonly RunEntry[];
  chosen: RunEntry | undefined;
  figures: Figures;
}

/** Runs that stand as dots beside the learnt curve. */
const DOTS = 20;
const DIMENSIONS = ['delivery', 'amps'] as const;
type Dimension = (typeof DIMENSIONS)[number];
const KIND = { delivery: 'flow', amps: 'current' } as const;

/** What the pump gives and takes against pressure, as learnt, and what its runs gave. */
export function PumpCurves({ outline, runs, chosen, figures }: CurvesProps) {
  const pump = outline?.pump ?? [];
  return (
    <section class="curves">
      <h2>{SAY.runs.curveTitle}</h2>
      {pump.length === 0 ? (
        <p role="status">{outline === null ? SAY.reading : SAY.runs.curveNone}</p>
      ) : (
        <>
          {DIMENSIONS.map((dimension) => (
            <Curve key={dimension} {...{ dimension, pump, runs, chosen, figures }} />
          ))}
          <p class="caption">
            {SAY.runs.curveNote} {SAY.runs.latest(Math.min(DOTS, runs.length))}
          </p>
        </>
      )}
    </section>
  );
}

const estimateOf = (point: PumpPoint, dimension: Dimension) =>
  dimension === 'delivery'
    ? { value: point.deliveryM3PerS, std: point.deliveryM3PerSStd }
    : { value: point.currentA, std: point.currentAStd };

/** A run as one point: its mean against the pressure half way from cut-in to cut-out. */
function dotOf(run: RunEntry, dimension: Dimension): Point | null {
  const { start, stop, cutInPaGauge, cutOutPaGauge, pumpedM3, meanCurrentA } = run;
  if (stop === null || cutInPaGauge === null || cutOutPaGauge === null) return null;
  const lengthS = (Date.parse(stop) - Date.parse(start)) / 1000;
  const y = dimension === 'amps' ? meanCurrentA : pumpedM3 === null ? null : pumpedM3 / lengthS;
  return y === null || !(lengthS > 0) ? null : { x: (cutInPaGauge + cutOutPaGauge) / 2, y };
}

interface CurveProps extends Omit<CurvesProps, 'outline'> {
  dimension: Dimension;
  pump: readonly PumpPoint[];
}

function Curve({ dimension, pump, runs, chosen, figures }: CurveProps) {
  const kind = KIND[dimension];
  const [pressure, other] = [scaleOf('pressure', figures), scaleOf(kind, figures)];
  const known = pump.filter((point) => estimateOf(point, dimension).value !== null);
  const shown = ({ x, y }: Point): Point => ({ x: x / pressure.si, y: y / other.si });
  const dots = (some: readonly (RunEntry | undefined)[]): Point[] =>
    some.flatMap((run) => {
      const dot = run === undefined ? null : dotOf(run, dimension);
      return dot === null ? [] : [shown(dot)];
    });
  const at = known.map((point) => {
    const { value, std } = estimateOf(point, dimension);
    return {
      x: point.pressurePaGauge / pressure.si,
      y: value! / other.si,
      half: (2 * (std ?? 0)) / other.si,
    };
  });
  const series: Series[] = [
    {
      kind: 'band',
      points: at.map(({ x, y, half }) => ({ x, low: y - half, high: y + half })),
      mark: 'band',
    },
    { kind: 'line', points: at, mark: 'middle' },
    { kind: 'dots', points: dots(runs.slice(-DOTS)), mark: 'dot-mark' },
    { kind: 'dots', points: dots([chosen]), mark: 'dot-mark chosen' },
  ];
  const xs = [...pump.map((point) => point.pressurePaGauge / pressure.si)];
  xs.push(...dots(runs.slice(-DOTS)).map(({ x }) => x));
  const name = SAY.runs[dimension];
  const told = known.map((point) =>
    WORDS.pumpAt(
      full(estimateOf(point, dimension), kind, figures),
      gauge(point.pressurePaGauge, 'pressure', figures),
      '',
    ),
  );
  const says = SAY.runs.spoken(name, told.join('; ') || SAY.runs.notLearnt);
  return (
    <>
      <Plot
        height={170}
        x={{
          least: Math.min(...xs) - 1,
          greatest: Math.max(...xs) + 1,
          unit: `${SAY.runs.pressure}, ${pressure.unit}`,
        }}
        y={{ unit: `${name}, ${other.unit}` }}
        series={series}
        spoken={says}
      />
      {known.length === 0 && <p class="caption">{says}</p>}
    </>
  );
}
