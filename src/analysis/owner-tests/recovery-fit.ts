import { GRAVITY_M_PER_S2 } from '../../physics/constants.ts';
import { casingAreaM2 } from '../../physics/well/casing-area.ts';
import { oddOfWell } from '../estimation/supposed-wells.ts';
import { learntCurve } from './fill.ts';
import { liftOf } from './pump-change.ts';
import type { RunFlow } from './recovery-flows.ts';
import type { Job } from './types.ts';

const RHO = 999.7;
const M2PS_PER_GPM_PER_FT = 6.30901964e-5 / 0.3048;
/** Specific capacities that wells have, 0.002 to 20 gpm/ft. */
const CAPACITIES = Array.from(
  { length: 41 },
  (_, k) => 0.002 * 10 ** (k / 10) * M2PS_PER_GPM_PER_FT,
);
/** Storage over that of the casing of the file. */
const STORAGES = Array.from({ length: 19 }, (_, k) => 0.7 * 1.2 ** k);
/** Slopes of delivery over pressure, in standard errors of the learnt one. */
const SLOPES = [-1.8, -0.9, 0, 0.9, 1.8];
const MOST_SLOPE_REL = 0.4;
/** Well loss and an aquifer that is not one tank: what the model leaves of the drawdown. */
const FORM_SHARE = 0.1;
const FORM_M = 0.4;
const FORM_REL = 0.15;
const HIDDEN_SHARE = 0.5;
/** Head that was missing before a rested well was drawn from, as level. */
const MISSING_M = 15;
/** What delivery in parts of a run may differ from delivery as learnt, relative. */
const DELIVERY_REL = 0.02;

/** How far the level stood below the rested one, by delivery [m], and metres a unit of flow. */
interface LevelPoint {
  levelM: number;
  std: number;
  perFlow: number;
}

interface Estimate {
  value: number;
  std: number;
}

export interface RecoveryFit {
  capacity: Estimate;
  tauS: Estimate;
  drawnM: Estimate;
  offsetM: Estimate;
}

/**
 * The one-tank model, emptied by the runs as they were, fitted to the levels that delivery shows,
 * for specific capacity and storage; today's rested level is left open. Levels hang on the slope
 * of delivery over pressure, which is known as well as it was learnt: it is tried, too.
 */
export function fitRecovery(job: Job, runs: readonly RunFlow[]): RecoveryFit {
  const areaM2 = areaOf(job.known);
  const sweeps = SLOPES.map((z) => ({ z, levels: levelsOf(job, runs, z) }));
  const tries = CAPACITIES.flatMap((capacity) =>
    STORAGES.flatMap((storage) => {
      const tauS = (areaM2 * storage) / capacity;
      const model = modelOf(runs, capacity, tauS);
      const drawn = Math.max(...model);
      const odd = oddOfWell(capacity, storage);
      return sweeps.map(({ z, levels }) => {
        const { offset, offsetStd, cost } = leastSquares(levels, model);
        return { capacity, tauS, drawn, offset, offsetStd, cost: cost + odd + z * z };
      });
    }),
  );
  const of = weighted(tries);
  const logCapacity = of((t) => Math.log(t.capacity));
  const logTau = of((t) => Math.log(t.tauS));
  const drawnM = of((t) => t.drawn);
  const offsetM = of((t) => t.offset);
  const own = of((t) => t.offsetStd).value;
  const learntM = (DELIVERY_REL * job.before.b0 * metresPerX(job)) / Math.abs(job.before.b1);
  return {
    capacity: unlog(logCapacity, job.tankRelStd),
    tauS: unlog(logTau, 0),
    // What comes at once, the loss into the well, hides in the rested level.
    drawnM: { ...drawnM, std: Math.hypot(drawnM.std, HIDDEN_SHARE * drawnM.value) },
    offsetM: { ...offsetM, std: Math.hypot(offsetM.std, own, FORM_M, learntM) },
  };
}

/** Means and standard deviations over the tries, each as likely as its cost says. */
function weighted<T extends { cost: number }>(
  tries: readonly T[],
): (get: (t: T) => number) => Estimate {
  const least = tries.reduce((low, { cost }) => Math.min(low, cost), Infinity);
  const weights = tries.map(({ cost }) => Math.exp(-0.5 * (cost - least)));
  const sum = weights.reduce((a, b) => a + b, 0);
  return (get) => {
    const value = tries.reduce((s, t, k) => s + weights[k]! * get(t), 0) / sum;
    const variance = tries.reduce((s, t, k) => s + weights[k]! * (get(t) - value) ** 2, 0) / sum;
    return { value, std: Math.sqrt(variance) };
  };
}

/** A value known on a log scale, with the spread that this is on a plain one. */
function unlog(log: Estimate, relStd: number): Estimate {
  const variance = log.std ** 2 + FORM_REL ** 2 + relStd ** 2;
  const value = Math.exp(log.value);
  return { value, std: value * Math.sqrt(Math.exp(variance) * Math.expm1(variance)) };
}

const metresPerX = ({ known }: Job): number => known.band.halfPa / (RHO * GRAVITY_M_PER_S2);

function areaOf({ equipment }: Job['known']): number {
  const inside = equipment.casingM?.value ?? 0.154;
  const pipe = (equipment.pipeInsideDiameterM?.value ?? 0.0267) + 0.007;
  return casingAreaM2(inside, Math.min(pipe, 0.6 * inside));
}

/** Delivery as it was learnt gives each part's flow at some higher pressure: the rest is level. */
function levelsOf(job: Job, runs: readonly RunFlow[], z: number): LevelPoint[] {
  const { before, known, tankConstantPaM3 } = job;
  const curve = learntCurve(job, Math.exp(z * Math.min(before.slopeRelStd, MOST_SLOPE_REL)))!;
  const unit = tankConstantPaM3 / known.referencePa / 60;
  const metres = metresPerX(job);
  return runs.flatMap(({ parts }) =>
    parts.map(({ x, flow, std }) => {
      const lift = liftOf(curve, flow / unit);
      const perFlow = (Math.abs(lift.slope) * metres) / unit;
      return { levelM: (lift.x - x) * metres, std: std * perFlow, perFlow };
    }),
  );
}

/** Drawdown of the one-tank model at each part of the runs. */
function modelOf(runs: readonly RunFlow[], capacity: number, tauS: number): number[] {
  const out: number[] = [];
  let level = 0;
  let atS = runs[0]!.startS;
  for (const { startS, stopS, flow, parts } of runs) {
    level *= Math.exp(-(startS - atS) / tauS);
    const full = flow / capacity;
    const after = (timeS: number) => full - (full - level) * Math.exp(-(timeS - startS) / tauS);
    for (const { timeS } of parts) out.push(after(timeS));
    level = after(stopS);
    atS = stopS;
  }
  return out;
}

/** The offset that brings the model nearest, and what is left. */
function leastSquares(levels: readonly LevelPoint[], model: readonly number[]) {
  const variance = levels.map(
    ({ std }, k) => std ** 2 + (FORM_SHARE * model[k]!) ** 2 + FORM_M ** 2,
  );
  const weight = variance.reduce((sum, v) => sum + 1 / v, 0);
  const offset = levels.reduce((s, l, k) => s + (l.levelM - model[k]!) / variance[k]!, 0) / weight;
  // Flows were measured, not levels: a slope must not gain by making all levels small.
  const cost = levels.reduce(
    (s, { levelM, perFlow }, k) =>
      s +
      Math.min((levelM - model[k]! - offset) ** 2 / variance[k]!, 9) +
      Math.log(variance[k]! / perFlow ** 2),
    (offset / MISSING_M) ** 2,
  );
  return { offset, offsetStd: weight ** -0.5, cost };
}
