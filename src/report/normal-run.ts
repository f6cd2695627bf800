import { quantile } from '../base/quantile.ts';
import type { RunEntry } from '../model/study.ts';

/** A trace from the start of a run on: SI against seconds. */
export interface TracePoint {
  atS: number;
  value: number;
}

export interface Normal {
  atS: number;
  low: number;
  middle: number;
  high: number;
}

export const isWholeRun = ({ begun, ended, breaks, stop }: RunEntry): boolean =>
  begun === 'cut-in' && ended === 'cut-out' && breaks === 0 && stop !== null;

/** Runs before one that went the whole way from cut-in to cut-out, the latest `most` of them. */
export function wholeRunsBefore(
  runs: readonly RunEntry[],
  chosen: RunEntry,
  most: number,
): RunEntry[] {
  return runs.filter((run) => run.start < chosen.start && isWholeRun(run)).slice(-most);
}

/** `holds`: a quantity that jumps, and keeps its value until it is told again. */
export function traceOf(
  stretches: readonly { fromS: number; toS: number; mean: number }[],
  startS: number,
  holds: boolean,
): TracePoint[] {
  const points = stretches.map(({ fromS, toS, mean }) => ({
    atS: (fromS + toS) / 2 - startS,
    value: mean,
  }));
  if (!holds) return points;
  return points.flatMap((point, i) => {
    const before = points[i - 1];
    return before === undefined ? [point] : [{ atS: point.atS, value: before.value }, point];
  });
}

/** A trace between its points by the line; NaN outside them. */
export function valueAt(trace: readonly TracePoint[], atS: number): number {
  const next = trace.findIndex((point) => point.atS > atS);
  if (next < 0) return Number.NaN;
  const after = trace[next]!;
  const before = trace[next - 1];
  if (before === undefined) return Number.NaN;
  const share = (atS - before.atS) / (after.atS - before.atS);
  return before.value + share * (after.value - before.value);
}

/** Fewer traces than these at a moment are no band. */
const LEAST_TRACES = 4;

/** What most traces of a quantity are like at moments of a run: its middle 80 of 100. */
export function normalOf(
  traces: readonly (readonly TracePoint[])[],
  moments: readonly number[],
): Normal[] {
  return moments.flatMap((atS) => {
    const values = traces.map((trace) => valueAt(trace, atS)).filter(Number.isFinite);
    if (values.length < LEAST_TRACES) return [];
    return [
      {
        atS,
        low: quantile(values, 0.1),
        middle: quantile(values, 0.5),
        high: quantile(values, 0.9),
      },
    ];
  });
}
