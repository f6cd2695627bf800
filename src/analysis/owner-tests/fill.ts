import { PSI_PA } from '../../units/table.ts';
import { CLOCK_S } from './gather.ts';
import {
  curveAt,
  type FlowPoint,
  flowOf,
  type PumpBase,
  type PumpCurve,
  weighRatio,
} from './pump-change.ts';
import { lineOf, type Point, pointsOf, type RunSpan, runSpans } from './series.ts';
import type { Found, Job, TestOutcome } from './types.ts';

const PARTS = 3;
const LEAST_RUN_S = 12;
/** The start is not yet delivery, s. */
const STARTING_S = 4;
/** A fill with fewer readings than this has no slope worth having. */
const LEAST_BINS = 8;
/** Gas correction and line voltage: common to all fills, relative. */
const COMMON = 0.02;
const OWN = 0.01;

/** Fills without demand: delivery over pressure, amps, and the friction between tee and tank. */
export function evaluateFill(job: Job): TestOutcome {
  const { startS, stopS } = job.test;
  const outcome = { test: 'fill', startS, stopS } as const;
  const no = (unusable: string): TestOutcome => ({ ...outcome, unusable, found: [], bearing: [] });
  const points = pointsOf(job);
  if (points.length === 0) return no('the log has no pressure from then');
  const fills = runSpans(points).filter(
    (run) =>
      run.startS > startS - CLOCK_S &&
      run.stopS < stopS + CLOCK_S &&
      run.stopS - run.startS > LEAST_RUN_S,
  );
  if (fills.length === 0) return no('no whole pump run stands within its times');
  const parts = fills.flatMap((run) => partsOf(job, points, run));
  if (parts.length < PARTS) return no('the readings while the pump ran are too few for a slope');
  const curve = fitLine(parts);
  const found = foundOf(job, points, fills, curve);
  const base = learntBase(job);
  if (base === null) return { ...outcome, unusable: null, found, bearing: [] };
  const ratio = curve.at(0) / base.flow(0);
  const std = ratio * Math.hypot(curve.stdAt(0) / curve.at(0), base.relStd);
  found.unshift({ what: 'delivery over delivery when learnt', value: ratio, std, unit: '1' });
  return { ...outcome, unusable: null, found, bearing: weighRatio(ratio, std) };
}

/** Delivery as it was learnt, reference units a minute: less surely beside the switch band. */
export function learntBase(job: Job): PumpBase | null {
  const { learntB0, learntRelStd } = job.before;
  const curve = learntCurve(job);
  if (curve === null) return null;
  return {
    flow: (x) => flowOf(curve, x),
    relStd: Math.hypot(learntRelStd, COMMON),
    std: (x) => learntB0 * Math.hypot(0.02 * Math.abs(x), 0.01 * Math.max(Math.abs(x) - 1, 0) ** 2),
  };
}

/** Its curve, with the learnt slope or that times a factor; null until it is learnt. */
export function learntCurve(job: Job, slopeFactor = 1): PumpCurve | null {
  const { learntB0, b1, b0 } = job.before;
  if (Number.isNaN(learntB0)) return null;
  const slope = slopeFactor * Math.min(b1 / b0, LEAST_SLOPE);
  return curveAt(learntB0, slope * learntB0, ratedOver(job, learntB0));
}

/** Delivery falls with pressure by this at the least, a half band. */
const LEAST_SLOPE = -0.01;

/** Rated flow in the unit of `flow`, which is delivery at the middle of the band. */
function ratedOver({ known }: Job, flow: number): number {
  const rated = known.equipment.ratedFlowM3PerS?.value ?? known.nominal.flowM3PerS;
  return (flow * rated) / known.nominal.flowM3PerS;
}

/** Delivery in parts of a run, in reference units a minute. */
function partsOf(job: Job, points: readonly Point[], run: RunSpan): FlowPoint[] {
  const { known } = job;
  const inside = points
    .slice(run.from, run.to + 1)
    .filter((p) => p.timeS > run.startS + STARTING_S && p.timeS < run.stopS - 1);
  if (inside.length < LEAST_BINS) return [];
  const size = Math.ceil(inside.length / PARTS);
  return Array.from({ length: PARTS }, (_, k) => inside.slice(k * size, (k + 1) * size)).flatMap(
    (part) => {
      const line = lineOf(part);
      if (line === null) return [];
      const pressure = part.reduce((sum, p) => sum + p.pressurePa, 0) / part.length;
      const x = (pressure - known.atmospherePa - known.band.middlePaGauge) / known.band.halfPa;
      const flow = -60 * line.slope * known.referencePa;
      const std = Math.hypot(60 * line.slopeStd * known.referencePa, OWN * flow);
      return [{ x, flow, std }];
    },
  );
}

interface FlowLine {
  at: (x: number) => number;
  stdAt: (x: number) => number;
}

/** Weighted straight line of delivery over pressure. */
function fitLine(parts: readonly FlowPoint[]): FlowLine {
  const weights = parts.map(({ std }) => std ** -2);
  const sum = weights.reduce((a, b) => a + b, 0);
  const mean = (of: (p: FlowPoint) => number): number =>
    parts.reduce((s, p, i) => s + weights[i]! * of(p), 0) / sum;
  const x0 = mean((p) => p.x);
  const q0 = mean((p) => p.flow);
  const xx = mean((p) => (p.x - x0) ** 2);
  const slope = xx > 0 ? mean((p) => (p.x - x0) * (p.flow - q0)) / xx : 0;
  return {
    at: (x) => q0 + slope * (x - x0),
    stdAt: (x) =>
      Math.hypot(
        Math.sqrt(1 / sum + (x - x0) ** 2 / (sum * Math.max(xx, 1e-6))),
        COMMON * Math.abs(q0),
      ),
  };
}

function foundOf(
  job: Job,
  points: readonly Point[],
  fills: readonly RunSpan[],
  curve: FlowLine,
): Found[] {
  const { tankConstantPaM3: tank, tankRelStd, known } = job;
  const unit = tank / known.referencePa / 60;
  const found: Found[] = Number.isNaN(tank)
    ? []
    : [-1, 0, 1].map((x) => ({
        what: ['delivery at cut-in', 'delivery half way', 'delivery at cut-out'][x + 1]!,
        value: curve.at(x) * unit,
        std: unit * Math.hypot(curve.stdAt(x), curve.at(x) * tankRelStd),
        unit: 'm3/s',
      }));
  const amps = points.filter((p, i) =>
    fills.some((run) => i >= run.from && p.on && p.timeS > run.startS + STARTING_S && i <= run.to),
  );
  const read = amps.map((p) => p.currentA).filter((a) => !Number.isNaN(a));
  if (read.length > 5) {
    const value = read.reduce((sum, a) => sum + a, 0) / read.length;
    const spread = Math.sqrt(read.reduce((sum, a) => sum + (a - value) ** 2, 0) / read.length);
    found.push({ what: 'amps', value, std: spread / Math.sqrt(read.length), unit: 'A' });
  }
  found.push({ what: 'fills', value: fills.length, std: null, unit: 'fills' });
  return [...found, ...frictionOf(job, points, fills)];
}

/** How far pressure drops as the pump stops: what the way to the tank takes. */
function frictionOf(job: Job, points: readonly Point[], fills: readonly RunSpan[]): Found[] {
  const drops = fills.flatMap((run) => {
    const last = points.slice(Math.max(run.to - 3, run.from), run.to + 1);
    const next = points[run.to + 1];
    if (next === undefined || next.timeS - run.stopS > 6 || last.length < 3) return [];
    const line = lineOf(last);
    if (line === null) return [];
    // Half of the time to the first reading at rest the pump still ran, as far as is known.
    const until = 0.5 * (run.stopS + next.timeS);
    const volume = line.mean + line.slope * (until - line.meanS);
    const ownPa = job.before.frictionPa * job.before.b0 ** 2;
    return [Math.exp(last.at(-1)!.theta) / volume + ownPa - next.pressurePa];
  });
  if (drops.length === 0) return [];
  const value = drops.reduce((sum, d) => sum + d, 0) / drops.length;
  const own = job.noise.runningPa / Math.sqrt(drops.length);
  const std = Math.hypot(0.3 * PSI_PA, own);
  return [{ what: 'pressure lost between tee and tank', value, std, unit: 'Pa' }];
}
