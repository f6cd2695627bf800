import { GRAVITY_M_PER_S2 } from '../../physics/constants.ts';
import { bearings, meanOver, normal } from './likelihood.ts';
import type { Bearing } from './types.ts';

const RHO = 999.7;
/**
 * Points of one sweep share bucket, gauge and the form of the curve: they speak for half of what as
 * many independent points would.
 */
const TEMPER = 0.5;

const tempered = (list: Bearing[]): Bearing[] =>
  list.map(({ fault, logLikelihood, overSound }) => ({
    fault,
    logLikelihood: TEMPER * logLikelihood,
    overSound: TEMPER * overSound,
  }));

/** Delivery at a tee pressure; x is in half bands from the middle of the switch band. */
export interface FlowPoint {
  x: number;
  flow: number;
  std: number;
}

export interface PumpBase {
  /** Delivery over x when the well was sound, in the unit of the points. */
  flow: (x: number) => number;
  /** Its uncertainty, relative and common to all points, and own at an x. */
  relStd: number;
  std: (x: number) => number;
}

/** The lift that the pump works against besides tee pressure, in half bands from the middle. */
export function liftInX(liftM: number, middlePaGauge: number, halfPa: number): number {
  return (RHO * GRAVITY_M_PER_S2 * liftM + middlePaGauge) / halfPa;
}

/**
 * A pump's curve as tee pressure over delivery, x = top - drop (0.04 r + 0.17 r2 + 0.07 r3), r over
 * rated flow: the form of small multistage pumps (from memory, as in the generic head curve).
 * Unlike delivery over pressure it may be followed to flows that were never measured.
 */
export interface PumpCurve {
  top: number;
  drop: number;
  rated: number;
}

const shape = (r: number): number => r * (0.04 + r * (0.17 + 0.07 * r));
const shapeSlope = (r: number): number => 0.04 + r * (0.34 + 0.21 * r);

/** The curve of this form nearest to points, by least squares in pressure. */
export function curveThrough(points: readonly FlowPoint[], rated: number): PumpCurve {
  const weights = points.map(({ flow, std }) => (shapeSlope(flow / rated) * std) ** -2);
  const sum = weights.reduce((a, b) => a + b, 0);
  const mean = (of: (p: FlowPoint) => number): number =>
    points.reduce((s, p, k) => s + weights[k]! * of(p), 0) / sum;
  const sMean = mean((p) => shape(p.flow / rated));
  const xMean = mean((p) => p.x);
  const ss = mean((p) => (shape(p.flow / rated) - sMean) ** 2);
  const sx = mean((p) => (shape(p.flow / rated) - sMean) * (p.x - xMean));
  const drop = Math.max(-sx / ss, 1e-3);
  return { top: xMean + drop * sMean, drop, rated };
}

/** The curve that has this delivery and slope at the middle of the band. */
export function curveAt(flow: number, slopePerX: number, rated: number): PumpCurve {
  const r = flow / rated;
  const drop = rated / (-slopePerX * shapeSlope(r));
  return { top: drop * shape(r), drop, rated };
}

/** Delivery of a curve at x; 0 where the pump cannot lift so high. */
export function flowOf({ top, drop, rated }: PumpCurve, x: number): number {
  const goal = (top - x) / drop;
  if (!(goal > 0)) return 0;
  let r = Math.sqrt(goal / 0.25);
  for (let k = 0; k < 12; k++) r = Math.max(r - (shape(r) - goal) / shapeSlope(r), 1e-6);
  return r * rated;
}

/** The x at which a curve gives a flow, and how it falls with flow. */
export function liftOf(
  { top, drop, rated }: PumpCurve,
  flow: number,
): { x: number; slope: number } {
  const r = Math.max(flow, 0) / rated;
  return { x: top - drop * shape(r), slope: (-drop * shapeSlope(r)) / rated };
}

type Change = (x: number, base: PumpBase) => number;

const steps = (low: number, high: number, n: number): number[] =>
  Array.from({ length: n }, (_, k) => low + ((k + 0.5) / n) * (high - low));

/** The level fell by d half bands: the same delivery at a lower tee pressure. */
const level =
  (d: number): Change =>
  (x, base) =>
    base.flow(x + d);

/** A choke takes c half bands at the middle delivery, and with the square of flow. */
const choke =
  (c: number): Change =>
  (x, base) => {
    const middle = base.flow(0);
    let flow = base.flow(x);
    for (let k = 0; k < 40; k++) {
      const next = base.flow(x + c * (Math.max(flow, 0) / middle) ** 2);
      flow = 0.5 * (flow + next);
    }
    return flow;
  };

/** Wear lets a share of delivery back and takes a share of all head. */
const worn =
  (back: number, head: number, lift: number): Change =>
  (x, base) => {
    const total = Math.max(x + lift, 0.1);
    return base.flow(x + head * total) - back * base.flow(0) * Math.sqrt(total / lift);
  };

const NONE: Change = (x, base) => base.flow(x);

/** Sizes of change that the trade meets, evenly: about 3 to 40 % of delivery. */
function accounts(lift: number) {
  return {
    level: steps(0.3, 4, 24).map(level),
    choke: steps(0.3, 4, 24).map(choke),
    worn: [0, 0.5, 1].flatMap((share) =>
      steps(0.03, 0.4, 16).map((size) => worn(size * (1 - share), 0.35 * size * share, lift)),
    ),
  };
}

/** Which change of level or pump brings a sound well's delivery to these points. */
export function weighPumpChange(
  points: readonly FlowPoint[],
  base: PumpBase,
  lift: number,
): Bearing[] {
  const scales = base.relStd > 0 ? [-1.5, -0.75, 0, 0.75, 1.5] : [0];
  const likelihood = (change: Change): number => {
    let sum = 0;
    for (const z of scales)
      sum += points.reduce(
        (product, { x, flow, std }) => {
          const expected = change(x, base) * (1 + z * base.relStd);
          return product * normal(flow, expected, Math.hypot(std, base.std(x)));
        },
        Math.exp(-0.5 * z * z),
      );
    return sum;
  };
  const mean = (list: readonly Change[]): number =>
    list.reduce((sum, change) => sum + likelihood(change), 0) / list.length;
  const all = accounts(lift);
  const choked = mean(all.choke);
  return tempered(
    bearings(
      [
        ['static-level-falling', mean(all.level)],
        ['pump-worn', mean(all.worn)],
        ['intake-clogged', choked],
        ['valve-part-shut', choked],
      ],
      likelihood(NONE),
    ),
  );
}

/** How far delivery falls where level or pump are at fault, evenly. */
const FALLEN = { least: 0.5, most: 0.95 };

/**
 * Delivery without demand over delivery when learnt. By itself it does not part level from pump,
 * but a well that only seemed weak in use delivers as it should.
 */
export function weighRatio(ratio: number, std: number): Bearing[] {
  const sound = normal(ratio, 1, std);
  const fallen = meanOver(FALLEN.least, FALLEN.most, (r) => normal(ratio, r, std), 60);
  return tempered(
    bearings(
      [
        ['static-level-falling', fallen],
        ['pump-worn', fallen],
        ['intake-clogged', fallen],
        ['valve-part-shut', fallen],
        ['heavy-use', sound],
        ['leak-burst', sound],
      ],
      sound,
    ),
  );
}
