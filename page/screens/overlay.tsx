import type { RunEntry } from '../../src/model/study.ts';
import { type Figures, gauge } from '../../src/report/figures.ts';
import { localDayAndTime } from '../../src/report/moments.ts';
import {
  normalOf,
  type TracePoint,
  traceOf,
  wholeRunsBefore,
} from '../../src/report/normal-run.ts';
import type { Pen, WellRecord } from '../data/record.ts';
import { useAsked } from '../data/use-asked.ts';
import { Plot, type Series } from '../drawing/plot.tsx';
import { scaleOf } from '../parts/figures.ts';
import { SAY } from '../words.ts';

/** Runs that the normal one is made of. */
const MOST = 10;
/** Before its start and after its stop, s. */
const ROUND_S = 6;
/** A device that reports on change may have spoken last so long before, s. */
const BEFORE_S = 150;
const MOMENTS = 80;

interface OverlayProps {
  runs: readonly RunEntry[];
  chosen: RunEntry;
  record: WellRecord;
  figures: Figures;
}

type Traces = Record<Pen, TracePoint[]>;

/** One run laid over what the runs before it were like. */
export function Overlay({ runs, chosen, record, figures }: OverlayProps) {
  const asked = useAsked(() => tracesOf(runs, chosen, record), [record, chosen.start, chosen.stop]);
  const { day, time } = localDayAndTime(chosen.start, figures.zone, chosen.startStdS);
  const traces = asked.value;
  return (
    <section class="overlay">
      <h2>{SAY.runs.overlayTitle(`${day} ${time}`)}</h2>
      {traces === null && (
        <p role="status">{asked.failure === null ? SAY.reading : SAY.notAnswered(asked.failure)}</p>
      )}
      {traces !== null && (
        <>
          <OverlayPlot pen="pressure" traces={traces} figures={figures} />
          <OverlayPlot pen="current" traces={traces} figures={figures} />
          <p class="caption">
            {traces.others.length < 4
              ? SAY.runs.tooFew
              : SAY.runs.overlayNote(traces.others.length)}
          </p>
        </>
      )}
    </section>
  );
}

interface Laid {
  own: Traces;
  others: Traces[];
  lengthS: number;
}

async function tracesOf(
  runs: readonly RunEntry[],
  chosen: RunEntry,
  record: WellRecord,
): Promise<Laid> {
  const get = async ({ start, stop }: RunEntry): Promise<Traces> => {
    const startS = Date.parse(start) / 1000;
    const stopS = stop === null ? startS + 600 : Date.parse(stop) / 1000;
    const pens = await record.raw(startS - BEFORE_S, stopS + ROUND_S);
    return {
      pressure: traceOf(pens.pressure, startS, false),
      current: traceOf(pens.current, startS, true),
    };
  };
  const [own, ...others] = await Promise.all([
    get(chosen),
    ...wholeRunsBefore(runs, chosen, MOST).map(get),
  ]);
  const lengthS = Math.max(
    20,
    ...own.pressure.map(({ atS }) => atS),
    ...own.current.map(({ atS }) => atS),
  );
  return { own, others, lengthS };
}

function OverlayPlot({ pen, traces, figures }: { pen: Pen; traces: Laid; figures: Figures }) {
  const { si, unit } = scaleOf(pen, figures);
  const { own, others, lengthS } = traces;
  const within = (trace: readonly TracePoint[]) => trace.filter(({ atS }) => atS >= -ROUND_S);
  const moments = Array.from(
    { length: MOMENTS + 1 },
    (_, i) => (i / MOMENTS) * (lengthS + ROUND_S) - ROUND_S,
  );
  const normal = normalOf(
    others.map((one) => one[pen]),
    moments,
  );
  const series: Series[] = [
    {
      kind: 'band',
      points: normal.map(({ atS, low, high }) => ({ x: atS, low: low / si, high: high / si })),
      mark: 'band',
    },
    {
      kind: 'line',
      points: normal.map(({ atS, middle }) => ({ x: atS, y: middle / si })),
      mark: 'middle',
    },
    {
      kind: 'line',
      points: within(own[pen]).map(({ atS, value }) => ({ x: atS, y: value / si })),
      mark: `trace ${pen}`,
    },
  ];
  const name = SAY.recorder[pen];
  const values = within(own[pen]).map(({ value }) => value);
  const from = (list: readonly number[]) =>
    `${gauge(Math.min(...list), pen, figures)} – ${gauge(Math.max(...list), pen, figures)}`;
  const parts = [
    ...(values.length > 0 ? [`${SAY.runs.thisRun} ${from(values)}`] : []),
    ...(normal.length > 0
      ? [`${SAY.runs.normal} ${from(normal.map(({ middle }) => middle))}`]
      : []),
  ];
  return (
    <Plot
      height={pen === 'pressure' ? 190 : 140}
      x={{ least: -ROUND_S, greatest: lengthS, unit: `s ${SAY.runs.sinceStart}` }}
      y={{ unit: `${name}, ${unit}`, ...(pen === 'current' ? { least: 0 } : {}) }}
      series={series}
      spoken={SAY.runs.spoken(name, parts.join('; '))}
    />
  );
}
