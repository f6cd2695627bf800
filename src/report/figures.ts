import type { Study } from '../model/study.ts';
import type { Well } from '../model/well.ts';
import { type DisplayKind, displayUnit, formatEstimate, formatValue } from '../units/format.ts';
import { tied } from './layout.ts';
import { WORDS } from './words.ts';

/** What every part of the text needs to print figures: the well's units and zone, the basis. */
export interface Figures {
  system: 'us' | 'si';
  zone: string;
  /** No scale for volumes: they are counted in tank drawdowns. */
  relative: boolean;
  currency: string;
}

export interface Estimate {
  value: number | null;
  std: number | null;
}

/** Any kind of the trade, or `number` for a count of drawdowns, money and the like. */
export type Shown = DisplayKind | 'number';

export function figuresOf(study: Study, well: Well): Figures {
  const known = [...study.runs.map((r) => r.pumpedM3), ...study.days.map((d) => d.usedM3)];
  return {
    system: well.units,
    zone: well.timeZone,
    relative:
      !study.scale.some((s) => s.basis !== 'relative') && !known.some((volume) => volume !== null),
    currency: well.energyPrice?.currency ?? '',
  };
}

/** Field of a volume, in m3 or, without a scale, in drawdowns. */
type VolumeOf<T> = T extends `${infer Stem}M3` ? Stem : never;

/** The volume a row holds under `<stem>M3`, or under `<stem>PerTank` where there is no scale. */
export function volumeOf<T extends object>(
  row: T,
  stem: VolumeOf<Extract<keyof T, string>>,
  figures: Figures,
): Estimate {
  const key = `${stem}${figures.relative ? 'PerTank' : 'M3'}`;
  const fields = row as Record<string, number | null | undefined>;
  return { value: fields[key] ?? null, std: fields[`${key}Std`] ?? null };
}

export const volumeKind = (figures: Figures): Shown => (figures.relative ? 'number' : 'volume');

/** The unit a kind is shown in; that of a number is what it counts. */
export function unitOf(kind: Shown, figures: Figures, counted = ''): string {
  return kind === 'number' ? counted : displayUnit(kind, figures.system).unit;
}

/** An estimate with its ± and no unit, as a table wants it. */
export function bare(estimate: Estimate, kind: Shown, figures: Figures): string {
  if (estimate.value === null) return WORDS.notKnownCell;
  const text = formatEstimate(estimate.value, estimate.std, printedAs(kind), figures.system);
  return text.slice(0, text.lastIndexOf(' '));
}

/** An estimate with its ± and its unit. */
export function full(estimate: Estimate, kind: Shown, figures: Figures, counted = ''): string {
  if (estimate.value === null) return WORDS.notKnown;
  const { value, std } = estimate;
  if (kind !== 'number') return tied(formatEstimate(value, std, kind, figures.system));
  // What was counted is known to the last one.
  if (std === null && Number.isInteger(value)) return tied(`${value} ${counted}`.trimEnd());
  return tied(`${bare(estimate, kind, figures)} ${counted}`.trimEnd());
}

export const fullVolume = (estimate: Estimate, figures: Figures): string =>
  full(estimate, volumeKind(figures), figures, WORDS.drawdowns);

/** The digits an estimate is known to and its unit, without the ±. */
export const known = (estimate: Estimate, kind: Shown, figures: Figures, counted = ''): string =>
  full(estimate, kind, figures, counted).replace(/\s±\s[\d.,]+/, '');

/** The same without its unit, for a table. */
export const bareKnown = (estimate: Estimate, kind: Shown, figures: Figures): string =>
  bare(estimate, kind, figures).replace(/ ±.*/, '');

/** Decimals of readings that carry no uncertainty: what a gauge of the trade shows. */
const GAUGE_DECIMALS = {
  us: { pressure: 1, flow: 1, current: 1, 'energy-per-volume': 1 },
  si: { pressure: 0, flow: 0, current: 1, 'energy-per-volume': 2 },
} as const;

/** A reading or a figure without uncertainty, with its unit. */
export function gauge(
  value: number | null,
  kind: keyof (typeof GAUGE_DECIMALS)['us'],
  figures: Figures,
): string {
  if (value === null) return WORDS.notKnown;
  return tied(formatValue(value, kind, figures.system, GAUGE_DECIMALS[figures.system][kind]));
}

/** The same without its unit, for a table. */
export function bareGauge(...args: Parameters<typeof gauge>): string {
  return args[0] === null ? WORDS.notKnownCell : gauge(...args).replace(/\s.*/, '');
}

/** A share as whole percent; belief is never told as certain or impossible. */
export function percent(share: number): string {
  const whole = Math.round(100 * share);
  if (whole >= 100) return tied('over 99 %');
  return tied(whole < 1 ? 'below 1 %' : `${whole} %`);
}

/** A relative 95 % uncertainty in percent, to its first digit (two when the first is 1). */
export function spread(estimate: Estimate): string {
  if (!estimate.value || estimate.std === null) return WORDS.notKnown;
  const share = Math.abs((200 * estimate.std) / estimate.value);
  const digits = share.toExponential().startsWith('1') ? 2 : 1;
  return tied(`${Number(share.toPrecision(digits))} %`);
}

/** Amperes are shown at scale 1 and to two decimals at most, which is what a bare number wants. */
const printedAs = (kind: Shown): DisplayKind => (kind === 'number' ? 'current' : kind);

/** SI units an evidence may be in, and what they are shown as; any other is printed as it is. */
const KIND_OF_UNIT: Record<string, Shown> = {
  Pa: 'pressure',
  m3: 'volume',
  'm3/s': 'flow',
  m: 'length',
  A: 'current',
  W: 'power',
  V: 'voltage',
  J: 'energy',
  'J/m3': 'energy-per-volume',
  s: 'time',
  K: 'temperature',
  'm2/s': 'specific-capacity',
  'Pa m3': 'tank-constant',
  '1': 'fraction',
};

/** What a figure of the result with this unit is shown as. */
export function shownAs(unit: string): { kind: Shown; counted: string } {
  const kind = KIND_OF_UNIT[unit] ?? 'number';
  return { kind, counted: kind === 'number' ? unit : '' };
}
