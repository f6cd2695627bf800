import type { Equipment } from '../../model/well.ts';
import { GRAVITY_M_PER_S2 } from '../../physics/constants.ts';
import { headLossHazenWilliamsM } from '../../physics/hydraulics/head-loss-hazen-williams.ts';
import { headFromGenericCurveM } from '../../physics/pump/head-from-generic-curve.ts';
import { headFromPointsM } from '../../physics/pump/head-from-points.ts';
import { GALLON_M3, HORSEPOWER_W } from '../../units/table.ts';

/** What the nameplates say the pump delivers over tee pressure, x = (p - middle) / half band. */
export interface NominalDelivery {
  /** m3/s at the middle of the band, and its relative standard uncertainty. */
  flowM3PerS: number;
  relStd: number;
  /** Change of delivery over x, and over x squared, both relative to the middle. */
  slope: number;
  slopeStd: number;
  bend: number;
}

export interface SwitchBand {
  middlePaGauge: number;
  halfPa: number;
}

const RHO = 999.7;
const M3PS_PER_GPM = GALLON_M3 / 60;

/** Where nothing is known: a small house pump. From memory, wide. */
const TYPICAL: NominalDelivery = {
  flowM3PerS: 10 * M3PS_PER_GPM,
  relStd: 0.5,
  slope: -0.09,
  slopeStd: 0.05,
  bend: -0.01,
};

/** Service factor of small motors by rated power, hp (from memory). */
const SERVICE_FACTOR: [number, number][] = [
  [0.5, 1.6],
  [0.75, 1.5],
  [1, 1.4],
  [1.5, 1.3],
  [2, 1.25],
  [3, 1.15],
];
/** Best efficiency of small 4-inch multistage pumps by rated flow, gpm (from memory). */
const EFFICIENCY: [number, number][] = [
  [5, 0.47],
  [7, 0.53],
  [10, 0.58],
  [20, 0.6],
];
/** Shaft power at rated flow over service-factor power (from memory). */
export const MOTOR_LOADING = 0.957;

/** By how much a small motor of a rated power may be loaded beyond it. */
export const serviceFactor = (powerW: number): number =>
  between(SERVICE_FACTOR, powerW / HORSEPOWER_W);

export function nominalDelivery(equipment: Equipment, band: SwitchBand): NominalDelivery {
  const head = headOverFlow(equipment);
  if (head === null) return TYPICAL;
  const liftM = equipment.staticLevelM?.value ?? 30;
  const at = (x: number): number =>
    operatingFlow(equipment, head, liftM, band.middlePaGauge + x * band.halfPa);
  const [low, mid, high] = [at(-1), at(0), at(1)];
  if (!(mid > 0 && low > 0 && high > 0)) return { ...TYPICAL, flowM3PerS: head.ratedM3PerS };
  const bend = Math.max(-0.1, Math.min(0.02, (low + high - 2 * mid) / 2 / mid));
  const slope = Math.max(-0.4, Math.min(-0.01, (high - low) / 2 / mid));
  const liftKnown = equipment.staticLevelM !== null;
  return {
    flowM3PerS: mid,
    relStd: liftKnown ? 0.15 : 0.3,
    slope,
    slopeStd: Math.max(0.35 * Math.abs(slope), 0.02),
    bend,
  };
}

interface HeadCurve {
  ratedM3PerS: number;
  maxM3PerS: number;
  headM: (flowM3PerS: number) => number;
}

function headOverFlow(equipment: Equipment): HeadCurve | null {
  const { curve, ratedFlowM3PerS } = equipment;
  if (curve !== null && curve.length >= 3) {
    const max = curve[curve.length - 1]!.flowM3PerS;
    return {
      ratedM3PerS: ratedFlowM3PerS?.value ?? 0.6 * max,
      maxM3PerS: max,
      headM: (flow) => headFromPointsM(flow, curve),
    };
  }
  const rated = ratedFlowM3PerS?.value;
  if (rated === undefined) return null;
  const shutOffHeadM = shutOff(equipment, rated);
  if (shutOffHeadM === null) return null;
  return {
    ratedM3PerS: rated,
    maxM3PerS: 1.7 * rated,
    headM: (flowM3PerS) =>
      headFromGenericCurveM({ flowM3PerS, ratedFlowM3PerS: rated, shutOffHeadM }),
  };
}

/** Shut-off head from two points of a maker's curve, else from power, efficiency and rated flow. */
function shutOff(equipment: Equipment, rated: number): number | null {
  const first = equipment.curve?.[0];
  if (first !== undefined && first.flowM3PerS === 0) return first.headM;
  if (equipment.powerW === null) return null;
  const { value: powerW } = equipment.powerW;
  const shaftW = powerW * serviceFactor(powerW) * MOTOR_LOADING;
  const headAtRatedM =
    (between(EFFICIENCY, rated / M3PS_PER_GPM) * shaftW) / (RHO * GRAVITY_M_PER_S2 * rated);
  // The generic curve gives 72 % of shut-off head at rated flow.
  return (
    headAtRatedM / headFromGenericCurveM({ flowM3PerS: 1, ratedFlowM3PerS: 1, shutOffHeadM: 1 })
  );
}

function between(table: [number, number][], x: number): number {
  const first = table[0]!;
  if (x <= first[0]) return first[1];
  for (let k = 1; k < table.length; k++) {
    const [x1, y1] = table[k]!;
    const [x0, y0] = table[k - 1]!;
    if (x <= x1) return y0 + ((x - x0) / (x1 - x0)) * (y1 - y0);
  }
  return table[table.length - 1]![1];
}

/** Flow at which the pump's head meets lift, friction and tee pressure; NaN where it can't. */
function operatingFlow(
  equipment: Equipment,
  curve: HeadCurve,
  liftM: number,
  teePaGauge: number,
): number {
  const lengthM = equipment.pipeLengthM?.value ?? 0;
  const insideDiameterM = equipment.pipeInsideDiameterM?.value ?? 0.0267;
  const coefficient = equipment.pipeMaterial === 'steel' ? 110 : 140;
  const spare = (flowM3PerS: number): number =>
    curve.headM(flowM3PerS) -
    liftM -
    teePaGauge / (RHO * GRAVITY_M_PER_S2) -
    (flowM3PerS > 0 && lengthM > 0
      ? headLossHazenWilliamsM({ flowM3PerS, coefficient, insideDiameterM, lengthM })
      : 0);
  let low = 0;
  let high = curve.maxM3PerS;
  if (!(spare(low) > 0)) return NaN;
  if (spare(high) > 0) return high;
  for (let k = 0; k < 50; k++) {
    const mid = 0.5 * (low + high);
    if (spare(mid) > 0) low = mid;
    else high = mid;
  }
  return 0.5 * (low + high);
}
