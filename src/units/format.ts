import { GALLON_M3, KILOWATT_HOUR_J, PSI_PA } from './table.ts';

export type UnitSystem = 'us' | 'si';

export type DisplayKind =
  | 'pressure'
  | 'volume'
  | 'flow'
  | 'length'
  | 'current'
  | 'power'
  | 'voltage'
  | 'energy'
  | 'energy-per-volume'
  | 'time'
  | 'fraction'
  | 'specific-capacity'
  | 'temperature'
  | 'tank-constant';

/** How a kind is shown: shown value = (SI - offset) / scale; `decimals` is the finest shown. */
export interface DisplayUnit {
  unit: string;
  scale: number;
  offset: number;
  decimals: number;
}

const FOOT_M = 0.3048;
const GPM = GALLON_M3 / 60;
const shown = (unit: string, scale: number, decimals: number, offset = 0): DisplayUnit => ({
  unit,
  scale,
  offset,
  decimals,
});

const SAME: Partial<Record<DisplayKind, DisplayUnit>> = {
  current: shown('A', 1, 2),
  power: shown('W', 1, 0),
  voltage: shown('V', 1, 1),
  energy: shown('kWh', KILOWATT_HOUR_J, 2),
  fraction: shown('%', 0.01, 1),
};

const SHOWN: Record<UnitSystem, Partial<Record<DisplayKind, DisplayUnit>>> = {
  us: {
    ...SAME,
    pressure: shown('psi', PSI_PA, 1),
    volume: shown('gal', GALLON_M3, 2),
    flow: shown('gpm', GPM, 3),
    length: shown('ft', FOOT_M, 1),
    'energy-per-volume': shown('kWh/kgal', KILOWATT_HOUR_J / (1000 * GALLON_M3), 2),
    'specific-capacity': shown('gpm/ft', GPM / FOOT_M, 3),
    temperature: shown('degF', 5 / 9, 1, (459.67 * 5) / 9),
    'tank-constant': shown('psi gal', PSI_PA * GALLON_M3, 0),
  },
  si: {
    ...SAME,
    pressure: shown('kPa', 1000, 1),
    volume: shown('L', 0.001, 1),
    flow: shown('L/min', 0.001 / 60, 2),
    length: shown('m', 1, 2),
    'energy-per-volume': shown('kWh/m3', KILOWATT_HOUR_J, 3),
    'specific-capacity': shown('L/min/m', 0.001 / 60, 2),
    temperature: shown('degC', 1, 1, 273.15),
    'tank-constant': shown('kPa L', 1, 0),
  },
};

/** Times run from milliseconds to months: the unit follows the size. */
const TIMES: readonly [belowS: number, unit: DisplayUnit][] = [
  [120, shown('s', 1, 2)],
  [7200, shown('min', 60, 1)],
  [172_800, shown('h', 3600, 1)],
  [Number.POSITIVE_INFINITY, shown('days', 86_400, 1)],
];

/** The unit in which a value of this kind and size is shown. */
export function displayUnit(kind: DisplayKind, system: UnitSystem, valueSI = 0): DisplayUnit {
  const fixed = SHOWN[system][kind];
  if (fixed !== undefined) return fixed;
  const apt = TIMES.find(([belowS]) => Math.abs(valueSI) < belowS);
  return apt?.[1] ?? shown('s', 1, 2);
}

/** What stands where a value is not known. */
const NOT_KNOWN = 'not known';

/**
 * A value without an uncertainty: three significant digits, never finer than the kind's
 * resolution and never coarser than ones, or `decimals` digits after the point where given.
 */
export function formatValue(
  valueSI: number | null,
  kind: DisplayKind,
  system: UnitSystem,
  decimals?: number,
): string {
  if (valueSI === null || !Number.isFinite(valueSI)) return NOT_KNOWN;
  const unit = displayUnit(kind, system, valueSI);
  const value = (valueSI - unit.offset) / unit.scale;
  const wanted = value === 0 ? 0 : 2 - magnitude(value);
  const places = decimals ?? Math.min(unit.decimals, Math.max(0, wanted));
  return `${grouped(value, places)} ${unit.unit}`;
}

/**
 * A value with what is shown as its uncertainty at 95 %, which is two standard uncertainties
 * (`4,480 ± 110 gal`). The ± has one significant digit, two when the first is 1, and the value
 * ends at the same place, so no digit is shown that is not known.
 */
export function formatEstimate(
  valueSI: number | null,
  stdSI: number | null,
  kind: DisplayKind,
  system: UnitSystem,
): string {
  if (valueSI === null || !Number.isFinite(valueSI)) return NOT_KNOWN;
  if (stdSI === null || !Number.isFinite(stdSI) || stdSI <= 0) {
    return formatValue(valueSI, kind, system);
  }
  const unit = displayUnit(kind, system, valueSI);
  const spread = (2 * stdSI) / unit.scale;
  const startsWithOne = spread.toExponential().startsWith('1');
  // Below the kind's resolution a ± says nothing more: it is shown as one step of it.
  const place = Math.max(magnitude(spread) - (startsWithOne ? 1 : 0), -unit.decimals);
  const step = 10 ** place;
  const value = (valueSI - unit.offset) / unit.scale;
  const shownSpread = Math.max(1, Math.round(spread / step)) * step;
  const places = Math.max(0, -place);
  const text = grouped(Math.round(value / step) * step, places);
  return `${text} ± ${grouped(shownSpread, places)} ${unit.unit}`;
}

/** The power of ten of the first digit. */
function magnitude(value: number): number {
  const text = Math.abs(value).toExponential();
  return Number(text.slice(text.indexOf('e') + 1));
}

/** Fixed decimals with thousands grouped, and no minus before a zero. */
function grouped(value: number, decimals: number): string {
  const [whole = '', fraction] = Math.abs(value).toFixed(decimals).split('.');
  const groups = whole.replaceAll(/\B(?=(\d{3})+$)/g, ',');
  const digits = fraction === undefined ? groups : `${groups}.${fraction}`;
  return value < 0 && /[1-9]/.test(digits) ? `-${digits}` : digits;
}
