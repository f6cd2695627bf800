import type { Outline } from '../../src/model/study.ts';
import type { Well } from '../../src/model/well.ts';
import { type Figures, known, type Shown } from '../../src/report/figures.ts';
import { displayUnit } from '../../src/units/format.ts';

/** Units, zone and basis of what is shown of a well. */
export function figuresFor(well: Well, outline: Outline | null): Figures {
  const { equipment, units, timeZone, energyPrice, bucketTests } = well;
  const guess = equipment.tankVolumeM3 === null && bucketTests.length === 0;
  return {
    system: units,
    zone: timeZone,
    relative: outline === null ? guess : !outline.scale.some(({ basis }) => basis !== 'relative'),
    currency: energyPrice?.currency ?? '',
  };
}

/** The unit as it is drawn on a scale, and how far one of it goes in SI. */
export function scaleOf(kind: Shown, { system }: Figures): { unit: string; si: number } {
  if (kind === 'number') return { unit: '', si: 1 };
  const { unit, scale } = displayUnit(kind, system);
  return { unit, si: scale };
}

/** A quantity of the well file, to the digits that its uncertainty allows. */
export const told = (
  quantity: { value: number; std: number } | null,
  kind: Shown,
  figures: Figures,
): string => known(quantity ?? { value: null, std: null }, kind, figures);

/** Round steps of a scale: about `wanted` of them over a range, and never one alone. */
export function stepsOf(least: number, greatest: number, wanted: number): number[] {
  const range = greatest - least;
  if (!(range > 0)) return [least];
  const rough = range / wanted;
  const power = 10 ** Math.floor(Math.log10(rough));
  const coarse = ROUND.findIndex((one) => one * power >= rough);
  const steps = multiplesOf(ROUND[coarse]! * power, least, greatest);
  return steps.length > 1 ? steps : multiplesOf(ROUND[coarse - 1]! * power, least, greatest);
}

/** The first is less than any rough step of its power of ten. */
const ROUND = [0.5, 1, 2, 5, 10];

function multiplesOf(step: number, least: number, greatest: number): number[] {
  const steps: number[] = [];
  const some = 1e-9 * (greatest - least);
  for (let k = Math.ceil(least / step - 1e-9); k * step <= greatest + some; k++)
    steps.push(k * step);
  return steps;
}

/** A number of a scale, with as many digits as its steps need. */
export function stepText(value: number, steps: readonly number[]): string {
  const step = steps.length > 1 ? steps[1]! - steps[0]! : Math.abs(value) || 1;
  const places = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const text = value.toFixed(places);
  return Number(text) === 0 ? (0).toFixed(places) : text;
}

/** A raw value as a converter gives it. */
export const rawText = (value: number, raw: 'V' | 'count', digits = 5): string =>
  `${Number(value.toPrecision(digits))} ${raw === 'V' ? 'V' : 'counts'}`;
