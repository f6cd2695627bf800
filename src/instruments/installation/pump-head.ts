import type { Equipment } from '../../model/well.ts';
import { headFromGenericCurveM } from '../../physics/pump/head-from-generic-curve.ts';
import { headFromPointsM } from '../../physics/pump/head-from-points.ts';
import { typicalHeadAtRatedM } from '../../physics/pump/typical-head-at-rated.ts';
import { WATER_KG_PER_M3 } from './constants.ts';
import { assumed, type Given } from './result.ts';
import type { Site } from './site.ts';

/**
 * Standard uncertainty of the head of a pump of this curve. A maker's pump up to 10 kW may be 8 %
 * off (ISO 9906:2012, 4.4.2), which is 4.6 % as a standard uncertainty; sizes of pumps of one
 * nameplate differ by about 10 % (from memory).
 */
const CURVE_STD = 0.08 / Math.sqrt(3);
const NAMEPLATE_STD = 0.1;

/** Head of the pump over its flow, and the flows between which it is known. */
export interface PumpHead {
  headM: (flowM3PerS: number) => number;
  leastM3PerS: number;
  mostM3PerS: number;
}

/** The pump by its curve, else by nameplate; the inputs it takes, or what is lacking. */
export interface Pump {
  source: string;
  inputs: Record<'power' | 'rated' | 'spread', Given> | Record<'spread', Given>;
  head: (x: Partial<Record<'power' | 'rated', number>>) => PumpHead;
}

export function pumpOf(site: Site): Pump {
  const { curve } = site.equipment;
  return curve === null ? fromNameplate(site) : fromCurve(curve);
}

function fromCurve(curve: NonNullable<Equipment['curve']>): Pump {
  const points = curve.length;
  const head: PumpHead = {
    headM: (flow) => headFromPointsM(flow, curve),
    leastM3PerS: curve[0]?.flowM3PerS ?? Number.NaN,
    mostM3PerS: curve.at(-1)?.flowM3PerS ?? Number.NaN,
  };
  const because = `pump.curve, ${points} points; ISO 9906 lets a small pump be 8 % off`;
  return {
    source: "Maker's curve, monotone cubic between its points (Fritsch and Butland 1984).",
    inputs: { spread: spread(CURVE_STD, because) },
    head: () => head,
  };
}

const spread = (std: number, because: string): Given =>
  assumed('pump head over its curve', 1, { std, kind: 'number', because });

function fromNameplate(site: Site): Pump {
  const jet = site.equipment.pumpKind === 'jet';
  const lacking: Given = { needs: ['pump.curve'] };
  const field = (name: 'powerW' | 'ratedFlowM3PerS') => (jet ? lacking : site.get(name));
  return {
    source: 'Typical small submersible of this nameplate (own table, from memory).',
    inputs: {
      power: field('powerW'),
      rated: field('ratedFlowM3PerS'),
      spread: spread(NAMEPLATE_STD, 'no pump.curve: typical pump of this nameplate'),
    },
    head: ({ power = Number.NaN, rated = Number.NaN }) => typical(power, rated),
  };
}

function typical(ratedPowerW: number, ratedFlowM3PerS: number): PumpHead {
  const densityKgPerM3 = WATER_KG_PER_M3;
  const atRatedM = typicalHeadAtRatedM({ ratedPowerW, ratedFlowM3PerS, densityKgPerM3 });
  const share = headFromGenericCurveM({ flowM3PerS: 1, ratedFlowM3PerS: 1, shutOffHeadM: 1 });
  const shutOffHeadM = atRatedM / share;
  return {
    headM: (flowM3PerS) => headFromGenericCurveM({ flowM3PerS, ratedFlowM3PerS, shutOffHeadM }),
    leastM3PerS: 0,
    mostM3PerS: 1.7 * ratedFlowM3PerS,
  };
}

/**
 * The flow at which the pump's head is what the way asks of it; NaN where the pump cannot make it
 * at its least known flow, or makes more at its greatest. Both fall and rise steadily.
 */
export function operatingFlowM3PerS(
  pump: PumpHead,
  spreadFactor: number,
  asksM: (flowM3PerS: number) => number,
): number {
  const spare = (flow: number) => spreadFactor * pump.headM(flow) - asksM(flow);
  let [low, high] = [pump.leastM3PerS, pump.mostM3PerS];
  if (!(spare(low) >= 0 && spare(high) <= 0)) return Number.NaN;
  for (let halving = 0; halving < 60; halving += 1) {
    const middle = (low + high) / 2;
    if (spare(middle) > 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
