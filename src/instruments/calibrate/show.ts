import { withDigits } from '../../units/digits.ts';
import { type DisplayUnit, displayUnit } from '../../units/format.ts';
import type { CalibrateOptions } from './types.ts';

/** How values of a calibration are written in sentences. */
export interface Show {
  unit: DisplayUnit;
  /** A value of the channel with three digits and its unit. */
  value: (si: number) => string;
  /** An uncertainty with two digits and its unit. */
  spread: (si: number) => string;
  /** A raw value with five digits and its unit. */
  raw: (raw: number) => string;
}

export function showFor({ channel, raw, units }: CalibrateOptions): Show {
  const unit = displayUnit(channel, units);
  const rawUnit = raw === 'V' ? 'V' : 'counts';
  return {
    unit,
    value: (si) => `${Number((si / unit.scale).toPrecision(3))} ${unit.unit}`,
    spread: (si) => `${withDigits(si / unit.scale, 2)} ${unit.unit}`,
    raw: (value) => `${Number(value.toPrecision(5))} ${rawUnit}`,
  };
}

/**
 * Decimals worth showing beside a standard uncertainty, both in one unit: what is shown as ±, two
 * standard uncertainties, has one digit, two where the first is 1 (GUM 7.2.6 asks for two at
 * most). Below 0 for tens and hundreds.
 */
export function decimalsFor(std: number): number {
  const text = (2 * std).toExponential();
  const place = Number(text.slice(text.indexOf('e') + 1));
  return (text.startsWith('1') ? 1 : 0) - place;
}
