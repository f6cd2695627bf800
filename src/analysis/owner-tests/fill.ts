import { PSI_PA } from '../../units/table.ts';
import { CLOCK_S } from './gather.ts';
import { type FlowPoint, liftInX, type PumpBase, weighPumpChange } from './pump-change.ts';
import { lineOf, type Point, pointsOf, type RunSpan, runSpans } from './series.ts';
import type { Before, Found, Job, TestOutcome } from './types.ts';

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
  const base = learntBase(job.before);
  if (base === null) return { ...outcome, unusable: null, found, bearing: [] };
  const ratio = curve.at(0) / base.flow(0);
  const std = ratio * Math.hypot(curve.stdAt(0) / curve.at(0), base.relStd);
  found.unshift({ what: 'delivery over delivery when learnt', value: ratio, std, unit: '1' });
  return { ...outcome, unusable: null, found, bearing: weigh(job, parts, base) };
}

function weigh(job: Job, parts: readonly FlowPoint[], base: PumpBase): TestOutcome['bearing'] {
  const { band, equipment } = job.known;
  const lift = liftInX(equipment.staticLevelM?.value ?? 30, band.middlePaGauge, band.halfPa);
  const bearing = weighPumpChange(merged(parts), base, lift);
  // No water was drawn: a well that seems weak only in use delivers here as it should.
  const ratio = fitLine(parts).at(0) / base.flow(0);
  const weak = ratio + 2 * Math.hypot(base.relStd, OWN) < 0.93;
  const hidden = weak ? -2 : 0;
  return [
    ...bearing,
    { fault: 'heavy-use', logLikelihood: hidden },
    { fault: 'leak-burst', logLikelihood: hidden },
  ];
}

/** Delivery as it was learnt: known in the switch band, less surely beside it. */
export function learntBase({ learntB0, learntRelStd, b1, b0 }: Before): PumpBase | null {
  if (Number.isNaN(learntB0)) return null;
  const slope = b1 / b0;
  return {
    flow: (x) => learntB0 * (1 + slope * x - BEND * x * x),
    relStd: Math.hypot(learntRelStd, COMMON),
    std: (x) => learntB0 * Math.hypot(0.02 * Math.abs(x), 0.01 * Math.max(Math.abs(x) - 1, 0) ** 2),
    idle: [0],
  };
}

/** Bend of usual small pumps over the band (common practice). */
const BEND = 0.01;

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

/** Parts at about the same pressure as one point: weighing goes by pressure, not by run. */
function merged(parts: readonly FlowPoint[]): FlowPoint[] {
  const sorted = parts.slice().sort((a, b) => a.x - b.x);
  const size = Math.ceil(sorted.length / PARTS);
  return Array.from({ length: PARTS }, (_, k) => sorted.slice(k * size, (k + 1) * size))
    .filter((group) => group.length > 0)
    .map((group) => {
      const weight = group.reduce((sum, p) => sum + p.std ** -2, 0);
      const mean = (of: (p: FlowPoint) => number): number =>
        group.reduce((sum, p) => sum + of(p) * p.std ** -2, 0) / weight;
      return { x: mean((p) => p.x), flow: mean((p) => p.flow), std: weight ** -0.5 };
    });
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
