import { CLOCK_S } from './gather.ts';
import { lineOf, type Point, type RunSpan } from './series.ts';
import type { Job } from './types.ts';

const PART_S = 60;
const STARTING_S = 5;
/** A part with fewer readings, or bins of readings, has no slope worth having. */
const LEAST_READINGS = 5;
const LEAST_BINS = 3;
/** Demand before and after a run agrees to this share of delivery, or it is not known. */
const AGREEING = 0.03;
/** What a draw differs from its flow as told, and delivery from one run to the next, relative. */
const DRAWN_REL = 0.02;
const DELIVERY_REL = 0.012;

/** What the pump delivered in part of a run [m3/s], at x half bands from the middle of the band. */
interface FlowPart {
  timeS: number;
  x: number;
  flow: number;
  std: number;
}

/** A run, what it took from the well on the whole [m3/s], and in parts, where that is known. */
export interface RunFlow {
  startS: number;
  stopS: number;
  flow: number;
  parts: FlowPart[];
}

/** What each run of the record took from the well; of those before the test only the whole. */
export function runFlows(job: Job, points: readonly Point[], runs: readonly RunSpan[]): RunFlow[] {
  const usual = deliveryOf(job);
  return runs.map((run) => {
    // Bins stand for time on either side of their mean: those at the ends, too.
    const halfS = (0.5 * (run.stopS - run.startS)) / Math.max(run.to - run.from, 1);
    const [startS, stopS] = [run.startS - halfS, run.stopS + halfS];
    const parts = stopS < job.test.startS - CLOCK_S ? [] : partsOf(job, points, run);
    const mean = parts.reduce((sum, { flow }) => sum + flow, 0) / parts.length;
    return { startS, stopS, parts, flow: parts.length > 0 ? mean : usual };
  });
}

function partsOf(job: Job, points: readonly Point[], run: RunSpan): FlowPart[] {
  const { known, tankConstantPaM3: tank } = job;
  const demandAt = demandIn(job, points, run);
  const inside = points
    .slice(run.from, run.to + 1)
    .filter((p) => p.timeS > run.startS + STARTING_S);
  const out: FlowPart[] = [];
  for (let at = 0; at < inside.length; ) {
    const part = inside.slice(at).filter((p) => p.timeS < inside[at]!.timeS + PART_S);
    at += part.length;
    const line = lineOf(part);
    const readings = part.reduce((sum, { count }) => sum + count, 0);
    if (line === null || part.length < LEAST_BINS || readings < LEAST_READINGS) continue;
    const demand = demandAt(part[0]!.timeS, part.at(-1)!.timeS);
    if (Number.isNaN(demand)) continue;
    const gauge = part.reduce((s, p) => s + p.pressurePa, 0) / part.length - known.atmospherePa;
    // A hose gives with the root of pressure.
    const drawn = demand * Math.sqrt(Math.max(gauge, 0) / known.band.middlePaGauge);
    const flow = drawn - line.slope * tank;
    const std = Math.hypot(line.slopeStd * tank, DRAWN_REL * drawn, DELIVERY_REL * flow);
    const x = (gauge - known.band.middlePaGauge) / known.band.halfPa;
    out.push({ timeS: line.meanS, x, flow, std });
  }
  return out;
}

/**
 * What leaves through taps from one moment of a run to another, m3/s; NaN where it is not known.
 * The hose in its time; where a run reaches out of that, not near its ends; else as before and
 * after the run.
 */
function demandIn(
  job: Job,
  points: readonly Point[],
  run: RunSpan,
): (fromS: number, toS: number) => number {
  const { startS, stopS, measured } = job.test;
  const hose = measured.flowM3PerS!;
  if (run.startS > startS - CLOCK_S && run.stopS < stopS - CLOCK_S) return () => hose;
  if (run.startS < stopS - CLOCK_S && run.stopS > startS + CLOCK_S)
    return (fromS, toS) => (fromS > startS + CLOCK_S && toS < stopS - CLOCK_S ? hose : NaN);
  const side = (fromS: number, toS: number): number => {
    const line = lineOf(points.filter((p) => !p.on && p.timeS > fromS && p.timeS < toS));
    return line === null ? NaN : line.slope * job.tankConstantPaM3;
  };
  const before = side(run.startS - 45, run.startS - 1);
  const after = side(run.stopS + 5, run.stopS + 60);
  const agree = Math.abs(before - after) < AGREEING * deliveryOf(job);
  return () => (agree ? 0.5 * (before + after) : NaN);
}

/** Usual delivery at the middle of the band, m3/s. */
function deliveryOf({ before, known, tankConstantPaM3 }: Job): number {
  return (before.b0 * tankConstantPaM3) / known.referencePa / 60;
}
