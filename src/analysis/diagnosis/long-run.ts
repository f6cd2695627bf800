import type { FaultName } from '../../model/faults.ts';
import { below } from './odds.ts';

/** A run that goes on and does not get anywhere, as it stands. */
export interface LongRun {
  /** Amps over those expected at this pressure. */
  ampsRatio: number;
  /** How surely those are known. */
  ampsRelStd: number;
  /** Unsteadiness of the amps over that of usual runs; NaN until those are known. */
  jitterRatio: number;
  /** Pressure now between cut-in (0) and cut-out (1). */
  position: number;
  /** Highest that pressure rose in this run above where it started, in switch bands. */
  rose: number;
  hours: number;
}

interface Row {
  fault: FaultName;
  weight: number;
  amps: readonly [number, number];
  position: readonly [number, number];
  jitter: readonly [number, number];
  rose: readonly [number, number];
  /** Hours over which it is to be met; it fades beyond. */
  hours: number;
}

/** Common practice (A.3 and B.3 of the trade's fault tables, from memory). */
const ROWS: readonly Row[] = [
  row('running-dry', 0.3, [0.4, 0.95], [-3, 0.95], [1.5, 60], [-0.1, 1], 48),
  row('pump-uncoupled', 0.1, [0.35, 0.82], [-3, 0.3], [0.2, 1.6], [-0.3, 0.06], 1e4),
  row('gas-in-water', 0.06, [0.6, 0.97], [-1, 0.95], [1.8, 60], [0, 1], 12),
  row('cut-out-unreachable', 0.15, [0.55, 0.975], [0.3, 0.99], [0.2, 2.5], [0.05, 1], 1e3),
  row('relief-lifting', 0.06, [0.93, 1.03], [0.6, 2], [0.2, 2], [0.2, 2], 1e3),
  row('drop-pipe-parted', 0.03, [0.88, 1.02], [-3, 0.4], [0.2, 3], [-0.1, 0.25], 1e4),
  row('leak-burst', 0.1, [0.97, 1.03], [-3, 0.8], [0.2, 2], [-0.1, 1], 1e3),
  row('heavy-use', 0.4, [0.97, 1.03], [-0.3, 0.8], [0.2, 2], [-0.1, 1], 5),
];

function row(
  fault: FaultName,
  weight: number,
  amps: Row['amps'],
  position: Row['position'],
  jitter: Row['jitter'],
  rose: Row['rose'],
  hours: number,
): Row {
  return { fault, weight, amps, position, jitter, rose, hours };
}

/** Odds of what keeps a run from its end, most likely first; they add up to 1. */
export function longRunOdds(seen: LongRun): { fault: FaultName; probability: number }[] {
  const ampsStd = Math.hypot(0.02, seen.ampsRelStd);
  const weighed = ROWS.map((r) => ({
    fault: r.fault,
    w:
      r.weight *
      evenly(Math.log(seen.ampsRatio), r.amps.map(Math.log) as [number, number], ampsStd) *
      evenly(seen.position, r.position, 0.04) *
      evenly(Math.log(seen.jitterRatio), r.jitter.map(Math.log) as [number, number], 0.35) *
      evenly(seen.rose, r.rose, 0.05) *
      Math.exp(-Math.max(seen.hours - 0.5, 0) / r.hours),
  }));
  const unknown = 2e-4;
  const sum = weighed.reduce((s, { w }) => s + w, unknown);
  return [...weighed, { fault: 'unknown-trouble' as const, w: unknown }]
    .map(({ fault, w }) => ({ fault, probability: w / sum }))
    .toSorted((a, b) => b.probability - a.probability);
}

/** Density of a value that lies evenly between two bounds, blurred, with a little beyond. */
function evenly(value: number, [from, to]: readonly [number, number], std: number): number {
  if (Number.isNaN(value)) return 1;
  const inside = below((to - value) / std) - below((from - value) / std);
  return (inside + 0.002) / (to - from);
}
