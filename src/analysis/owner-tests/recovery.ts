import { GRAVITY_M_PER_S2 } from '../../physics/constants.ts';
import { casingAreaM2 } from '../../physics/well/casing-area.ts';
import { learntBase } from './fill.ts';
import { CLOCK_S } from './gather.ts';
import { lineOf, type Point, pointsOf, type RunSpan, runSpans } from './series.ts';
import { weighDrawn } from './sounding.ts';
import type { Found, Job, TestOutcome } from './types.ts';

const RHO = 999.7;
const M2PS_PER_GPM_PER_FT = 6.30901964e-5 / 0.3048;
/** Specific capacities that wells have, 0.02 to 20 gpm/ft, and casings over the file's. */
const CAPACITIES = Array.from(
  { length: 31 },
  (_, k) => 0.02 * 10 ** (k / 10) * M2PS_PER_GPM_PER_FT,
);
const CASINGS = [0.7, 0.85, 1, 1.2, 1.45];
/** Rock wells, from memory: median about 0.4 gpm/ft, a factor of four either way. */
const USUAL_CAPACITY = 0.4 * M2PS_PER_GPM_PER_FT;
const PART_S = 60;
const STARTING_S = 5;
const LEAST_PARTS = 4;
/** Well loss and an aquifer that is not one tank: what the model leaves of the drawdown. */
const FORM_SHARE = 0.1;
const FORM_M = 0.4;
const HIDDEN_SHARE = 0.5;
/** What delivery in parts of a run may differ from delivery as learnt, relative. */
const DELIVERY_REL = 0.02;

/** How far the level stood below the rested one at a moment of a run, by delivery [m]. */
interface LevelPoint {
  timeS: number;
  levelM: number;
  std: number;
}

/**
 * A steady draw and the hours after it. Each run shows the level by its delivery: the one-tank
 * model, emptied by the runs as they were, is fitted to those levels for specific capacity and
 * casing, with today's rested level left open.
 */
export function evaluateRecovery(job: Job): TestOutcome {
  const { startS, stopS } = job.test;
  const outcome = { test: 'recovery', startS, stopS } as const;
  const no = (unusable: string): TestOutcome => ({ ...outcome, unusable, found: [], bearing: [] });
  const points = pointsOf(job);
  if (points.length === 0) return no('the log has no pressure from then');
  const base = learntBase(job);
  if (base === null) return no('delivery was not yet learnt: it takes twelve runs before the test');
  const runs = runSpans(points);
  if (!runs.some((run) => run.stopS > startS && run.startS < stopS))
    return no('the pump did not run during the draw: it was too small to tell');
  const tank = ownConstant(job, points, runs);
  if (Number.isNaN(tank))
    return no('neither a bucket test nor the draw itself gives the scale of volumes');
  const levels = levelsOf(job, points, runs, tank);
  if (levels.length < LEAST_PARTS)
    return no('too few readings stand in its runs to follow a level');
  const fit = fitLevels(job, levels, runs, tank);
  return { ...outcome, unusable: null, ...judged(job, fit) };
}

/** Tank constant: that of the file, or what the steady draw itself shows while the pump rests. */
function ownConstant(job: Job, points: readonly Point[], runs: readonly RunSpan[]): number {
  if (!Number.isNaN(job.tankConstantPaM3)) return job.tankConstantPaM3;
  const { startS, stopS, measured } = job.test;
  const rests = runs.slice(1).flatMap((run, k) => {
    const fromS = Math.max(runs[k]!.stopS + 20, startS + CLOCK_S);
    const inside = points.filter(
      (p) => !p.on && p.timeS > fromS && p.timeS < Math.min(run.startS - 2, stopS - CLOCK_S),
    );
    const line = lineOf(inside);
    return line !== null && line.slope > 0 ? [line.slope] : [];
  });
  if (rests.length === 0) return NaN;
  return measured.flowM3PerS! / (rests.reduce((sum, r) => sum + r, 0) / rests.length);
}

/** What leaves through taps at a moment, m3/s: the hose in its time, else as before and after. */
function demandIn(job: Job, points: readonly Point[], run: RunSpan, tank: number): number {
  const { startS, stopS, measured } = job.test;
  if (run.startS > startS - CLOCK_S && run.stopS < stopS - CLOCK_S) return measured.flowM3PerS!;
  const side = (fromS: number, toS: number): number => {
    const line = lineOf(points.filter((p) => !p.on && p.timeS > fromS && p.timeS < toS));
    return line === null ? NaN : line.slope * tank;
  };
  const before = side(run.startS - 45, run.startS - 1);
  const after = side(run.stopS + 5, run.stopS + 60);
  return Math.abs(before - after) < 0.03 * ((job.before.b0 * tank) / job.known.referencePa / 60)
    ? 0.5 * (before + after)
    : NaN;
}

function levelsOf(
  job: Job,
  points: readonly Point[],
  runs: readonly RunSpan[],
  tank: number,
): LevelPoint[] {
  const { known, before } = job;
  const base = learntBase(job)!;
  const unit = tank / known.referencePa / 60;
  const perX = known.band.halfPa / (RHO * GRAVITY_M_PER_S2);
  const slope = Math.abs(before.b1) * unit;
  const out: LevelPoint[] = [];
  for (const run of runs) {
    if (run.stopS < job.test.startS - CLOCK_S) continue;
    const demand = demandIn(job, points, run, tank);
    if (Number.isNaN(demand)) continue;
    const inside = points
      .slice(run.from, run.to + 1)
      .filter((p) => p.timeS > run.startS + STARTING_S);
    for (let at = 0; at < inside.length; ) {
      const part = inside.slice(at).filter((p) => p.timeS < inside[at]!.timeS + PART_S);
      at += part.length;
      const line = lineOf(part);
      if (line === null || part.length < 5) continue;
      const gauge = part.reduce((s, p) => s + p.pressurePa, 0) / part.length - known.atmospherePa;
      const x = (gauge - known.band.middlePaGauge) / known.band.halfPa;
      // A hose gives with the root of pressure.
      const drawn = demand * Math.sqrt(Math.max(gauge, 0) / known.band.middlePaGauge);
      const flow = drawn - line.slope * tank;
      const levelM = ((base.flow(x) * unit - flow) / slope) * perX;
      const flowStd = Math.hypot(line.slopeStd * tank, 0.02 * drawn, 0.012 * flow);
      out.push({ timeS: line.meanS, levelM, std: (flowStd / slope) * perX });
    }
  }
  return out;
}

interface Fit {
  capacity: number;
  capacityStd: number;
  tauS: number;
  tauStd: number;
  drawnM: number;
  drawnStd: number;
  offsetM: number;
  offsetStd: number;
}

function areaOf({ equipment }: Job['known']): number {
  const inside = equipment.casingM?.value ?? 0.154;
  const pipe = (equipment.pipeInsideDiameterM?.value ?? 0.0267) + 0.007;
  return casingAreaM2(inside, Math.min(pipe, 0.6 * inside));
}

function fitLevels(job: Job, levels: LevelPoint[], runs: readonly RunSpan[], tank: number): Fit {
  const areaM2 = areaOf(job.known);
  const flow = (job.before.b0 * tank) / job.known.referencePa / 60;
  const tries = CAPACITIES.flatMap((capacity) =>
    CASINGS.map((factor) => {
      const tauS = (areaM2 * factor) / capacity;
      const model = levels.map(({ timeS }) => levelAt(timeS, runs, flow / capacity, tauS));
      const { offset, offsetStd, cost } = leastSquares(levels, model);
      const casing = Math.log(factor) / 0.15;
      const usual = Math.log(capacity / USUAL_CAPACITY) / Math.log(4);
      const drawn = Math.max(...model);
      return { capacity, tauS, offset, offsetStd, drawn, cost: cost + casing ** 2 + usual ** 2 };
    }),
  );
  const least = Math.min(...tries.map(({ cost }) => cost));
  const weights = tries.map(({ cost }) => Math.exp(-0.5 * (cost - least)));
  const sum = weights.reduce((a, b) => a + b, 0);
  const of = (get: (t: (typeof tries)[number]) => number): [mean: number, std: number] => {
    const mean = tries.reduce((s, t, k) => s + weights[k]! * get(t), 0) / sum;
    const variance = tries.reduce((s, t, k) => s + weights[k]! * (get(t) - mean) ** 2, 0) / sum;
    return [mean, Math.sqrt(variance)];
  };
  // Half a step of the grid, and well loss that the model has not.
  const [logC, logStd] = of((t) => Math.log(t.capacity));
  const [logTau, logTauStd] = of((t) => Math.log(t.tauS));
  const [drawnM, drawnStd] = of((t) => t.drawn);
  const [offsetM, offsetSpread] = of((t) => t.offset);
  const [offsetOwn] = of((t) => t.offsetStd);
  const perX = job.known.band.halfPa / (RHO * GRAVITY_M_PER_S2);
  const learntM = (DELIVERY_REL * job.before.b0 * perX) / Math.abs(job.before.b1);
  return {
    capacity: Math.exp(logC),
    capacityStd: Math.exp(logC) * Math.hypot(logStd, 0.15),
    tauS: Math.exp(logTau),
    tauStd: Math.exp(logTau) * Math.hypot(logTauStd, 0.15),
    drawnM,
    // What comes at once, the loss into the well, hides in the rested level.
    drawnStd: Math.hypot(drawnStd, HIDDEN_SHARE * drawnM),
    offsetM,
    offsetStd: Math.hypot(offsetSpread, offsetOwn, FORM_M, learntM),
  };
}

/** Drawdown of the one-tank model after runs of one flow: each adds and fades. */
function levelAt(timeS: number, runs: readonly RunSpan[], fullM: number, tauS: number): number {
  let level = 0;
  for (const { startS, stopS } of runs) {
    if (startS >= timeS) break;
    const endS = Math.min(stopS, timeS);
    const grown = 1 - Math.exp(-(endS - startS) / tauS);
    level += fullM * grown * Math.exp(-(timeS - endS) / tauS);
  }
  return level;
}

/** The offset that brings the model nearest, and what is left. */
function leastSquares(levels: readonly LevelPoint[], model: readonly number[]) {
  const variance = levels.map(
    ({ std }, k) => std ** 2 + (FORM_SHARE * model[k]!) ** 2 + FORM_M ** 2,
  );
  const weight = variance.reduce((sum, v) => sum + 1 / v, 0);
  const offset = levels.reduce((s, l, k) => s + (l.levelM - model[k]!) / variance[k]!, 0) / weight;
  const cost = levels.reduce(
    (s, l, k) =>
      s + Math.min((l.levelM - model[k]! - offset) ** 2 / variance[k]!, 9) + Math.log(variance[k]!),
    (offset / 15) ** 2,
  );
  return { offset, offsetStd: weight ** -0.5, cost };
}

function judged(job: Job, fit: Fit): Pick<TestOutcome, 'found' | 'bearing'> {
  const { intakeDepthM, staticLevelM } = job.known.equipment;
  const found: Found[] = [
    { what: 'specific capacity', value: fit.capacity, std: fit.capacityStd, unit: 'm2/s' },
    { what: 'time of recovery by two thirds', value: fit.tauS, std: fit.tauStd, unit: 's' },
    { what: 'drawdown that came and went', value: fit.drawnM, std: fit.drawnStd, unit: 'm' },
    {
      what: 'head missing before it, as level',
      value: fit.offsetM,
      std: fit.offsetStd,
      unit: 'm',
    },
  ];
  if (intakeDepthM === null || staticLevelM === null) return { found, bearing: [] };
  const column = Math.max(intakeDepthM.value - staticLevelM.value, 3);
  const logStd = Math.min(fit.drawnStd / Math.max(fit.drawnM, 0.3), 1.5);
  return { found, bearing: weighDrawn(fit.drawnM / column, logStd) };
}
