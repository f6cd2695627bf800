import type { KnownUse, Quantity, Well } from '../model/well.ts';
import { conductorAreaOfGaugeM2 } from '../units/awg.ts';
import type { SystemCard } from './catalogue.ts';
import { FOOT_M, GALLON_M3, GPM_M3_PER_S, HORSEPOWER_W, INCH_M, PSI_PA } from './constants.ts';
import type { Irrigation } from './household/household.ts';
import type { MotorKind } from './plant/motor-circuits.ts';

const KINDS: Record<string, MotorKind> = {
  '2-wire': 'split-phase',
  '3-wire': 'capacitor-start',
  '3-wire capacitor-run': 'capacitor-run',
};

/** Gauge whose conductor is nearest in area. */
function gaugeOf(areaM2: number): number {
  const gauges = [4, 6, 8, 10, 12, 14];
  const apart = (g: number) => Math.abs(Math.log(conductorAreaOfGaugeM2(g) / areaM2));
  return gauges.reduce((best, g) => (apart(g) < apart(best) ? g : best));
}

/** Head at no flow that a maker's curve has or leads to, ft. */
function shutOffFt(curve: Well['equipment']['curve']): number | null {
  const first = curve?.[0];
  if (first === undefined) return null;
  if (first.flowM3PerS === 0) return first.headM / FOOT_M;
  const second = curve?.[1];
  if (second === undefined) return null;
  // A parabola with its top at no flow, through the two points nearest to it.
  const { flowM3PerS: a, headM: ha } = first;
  const { flowM3PerS: b, headM: hb } = second;
  return (ha + ((ha - hb) * a * a) / (b * b - a * a)) / FOOT_M;
}

/**
 * What a well file says of a system, in the form of a card of the catalogue; what it leaves out is
 * what such systems usually have. Throws RangeError where there is nothing to rehearse on.
 */
export function cardFromWell(well: Well): SystemCard {
  const e = well.equipment;
  if (e.motor === 'three-phase' || e.phases === 3) {
    throw new RangeError('expected a single-phase motor, found three-phase: not rehearsed');
  }
  if (e.pumpKind === 'jet') throw new RangeError('expected a submersible pump, found a jet pump');
  const of = (q: Quantity | null, scale: number, usual: number) =>
    q === null ? usual : q.value / scale;
  const hp = of(e.powerW, HORSEPOWER_W, 0.75);
  const staticFt = of(e.staticLevelM, FOOT_M, 60);
  const intakeFt = of(e.intakeDepthM, FOOT_M, staticFt + 110);
  const kept = shutOffFt(e.curve);
  const cutInPsi = of(e.cutInPaGauge, PSI_PA, 40);
  return {
    letter: well.id,
    hp,
    classGpm: of(e.ratedFlowM3PerS, GPM_M3_PER_S, 10),
    motor: e.motor === null ? (hp > 1 ? 'capacitor-run' : 'split-phase') : KINDS[e.motor]!,
    volts: of(e.voltageV, 1, 230),
    altitudeFt: well.altitudeM.value / FOOT_M,
    casingIn: of(e.casingM, INCH_M, 6),
    staticFt,
    intakeFt,
    specificCapacityGpmPerFt: 0.8,
    tankGal: of(e.tankVolumeM3, GALLON_M3, 44),
    cutInPsi,
    cutOutPsi: of(e.cutOutPaGauge, PSI_PA, cutInPsi + 20),
    teePsi: 0.8,
    gasS: 45,
    pressureNoisePsi: 0.06,
    pipeIn: of(e.pipeInsideDiameterM, INCH_M, hp > 1.5 ? 1.38 : 1.05),
    awg: e.cableAreaM2 === null ? 12 : gaugeOf(e.cableAreaM2.value),
    cableFt: of(e.cableLengthM, FOOT_M, intakeFt + 60),
    reliefPsi: of(e.reliefPaGauge, PSI_PA, 75),
    roomF: 60,
    people: well.people ?? 3,
    extra: '-',
    ...(kept === null ? {} : { shutOffFt: kept }),
  };
}

/** Irrigation as a well file's known uses have it; null where none is one. */
export function irrigationFromUses(uses: readonly KnownUse[], gpm: number): Irrigation | null {
  const use = uses.find((u) => /irrigat|sprinkl|lawn/i.test(u.what));
  if (use === undefined) return null;
  const minutes = Math.max(5, (use.toS - use.fromS) / 60 / 4);
  return {
    fromDayOfYear: 120,
    toDayOfYear: 275,
    weekdays: use.days.map((day) => (day + 1) % 7),
    startHour: use.fromS / 3600,
    zones: [0.8, 1, 0.9, 1].map((share) => ({ gpm: share * gpm, minutes })),
  };
}
