import { GRAVITY_M_PER_S2 } from '../../physics/constants.ts';
import { bearings, normal } from './likelihood.ts';
import type { Bearing } from './types.ts';

const RHO = 999.7;

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
  /** Level shifts that mean nothing, in x: drawdown of the test itself. */
  idle: readonly number[];
}

/** The lift that the pump works against besides tee pressure, in half bands from the middle. */
export function liftInX(liftM: number, middlePaGauge: number, halfPa: number): number {
  return (RHO * GRAVITY_M_PER_S2 * liftM + middlePaGauge) / halfPa;
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
    for (const idle of base.idle)
      for (const z of scales) {
        const shifted: PumpBase = { ...base, flow: (x) => base.flow(x + idle) };
        const weight = Math.exp(-0.5 * z * z);
        sum += points.reduce((product, { x, flow, std }) => {
          const expected = change(x, shifted) * (1 + z * base.relStd);
          return product * normal(flow, expected, Math.hypot(std, base.std(x)));
        }, weight);
      }
    return sum / base.idle.length;
  };
  const mean = (list: readonly Change[]): number =>
    list.reduce((sum, change) => sum + likelihood(change), 0) / list.length;
  const all = accounts(lift);
  const choked = mean(all.choke);
  return bearings(
    [
      ['static-level-falling', mean(all.level)],
      ['pump-worn', mean(all.worn)],
      ['intake-clogged', choked],
      ['valve-part-shut', choked],
    ],
    likelihood(NONE),
  );
}
