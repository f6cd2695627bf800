import type { QuantityKind } from './kinds.ts';

/** SI value = written value * scale + offset. */
export interface Converter {
  kind: QuantityKind;
  scale: number;
  offset: number;
}

// Exact by definition: international foot and pound (1959), US gallon of 231 cubic inches,
// standard gravity (1901), horsepower of 550 ft lbf/s. NIST SP 811 Appendix B (from memory).
const INCH_M = 0.0254;
const FOOT_M = 0.3048;
const POUND_KG = 0.45359237;
const POUND_FORCE_N = POUND_KG * 9.80665;
export const PSI_PA = POUND_FORCE_N / (INCH_M * INCH_M);
export const GALLON_M3 = 231 * 16.387064e-6;
export const HORSEPOWER_W = 550 * FOOT_M * POUND_FORCE_N;
const RANKINE_K = 5 / 9;
const DAY_S = 86_400;
export const KILOWATT_HOUR_J = 3.6e6;

type Row = readonly [kind: QuantityKind, scale: number, names: string, offset?: number];

/** One row a unit: kind, scale, its names (parted by spaces), offset. */
const ROWS: readonly Row[] = [
  ['pressure', 1, 'Pa'],
  ['pressure', 100, 'hPa mbar'],
  ['pressure', 1000, 'kPa'],
  ['pressure', 1e5, 'bar'],
  ['pressure', 1e6, 'MPa'],
  ['pressure', PSI_PA, 'psi psig'],
  ['absolute-pressure', PSI_PA, 'psia'],
  ['absolute-pressure', 1e5, 'bara'],
  ['absolute-pressure', 1000, 'kPaa'],
  ['length', 1, 'm'],
  ['length', 0.01, 'cm'],
  ['length', 0.001, 'mm'],
  ['length', 1000, 'km'],
  ['length', INCH_M, 'in inch inches'],
  ['length', FOOT_M, 'ft foot feet'],
  ['volume', 1, 'm3 m³'],
  ['volume', 0.001, 'L l liter liters litre litres'],
  ['volume', 1e-6, 'mL ml'],
  ['volume', GALLON_M3, 'gal gallon gallons'],
  ['volume', FOOT_M ** 3, 'ft3 ft³'],
  ['flow', 1, 'm3/s m³/s'],
  ['flow', 1 / 3600, 'm3/h m³/h'],
  ['flow', 1 / DAY_S, 'm3/day m3/d m³/d'],
  ['flow', 0.001, 'L/s l/s'],
  ['flow', 0.001 / 60, 'L/min l/min'],
  ['flow', 0.001 / 3600, 'L/h l/h'],
  ['flow', 0.001 / DAY_S, 'L/day L/d l/d'],
  ['flow', GALLON_M3 / 60, 'gpm gal/min'],
  ['flow', GALLON_M3 / 3600, 'gph gal/h'],
  ['flow', GALLON_M3 / DAY_S, 'gpd gal/day gal/d'],
  ['power', 1, 'W'],
  ['power', 1000, 'kW'],
  ['power', HORSEPOWER_W, 'hp'],
  ['voltage', 1, 'V'],
  ['voltage', 0.001, 'mV'],
  ['current', 1, 'A'],
  ['current', 0.001, 'mA'],
  ['time', 1, 's sec second seconds'],
  ['time', 0.001, 'ms'],
  ['time', 1e-6, 'us µs'],
  ['time', 60, 'min minute minutes'],
  ['time', 3600, 'h hr hour hours'],
  ['time', DAY_S, 'day d days'],
  ['area-of-conductor', 1e-6, 'mm2 mm²'],
  ['area-of-conductor', (Math.PI / 4) * INCH_M * INCH_M * 1e-3, 'kcmil'],
  ['temperature', 1, 'K'],
  ['temperature', 1, 'degC °C Cel', 273.15],
  ['temperature', RANKINE_K, 'degF °F', 459.67 * RANKINE_K],
  ['fraction', 0.01, '%'],
  ['fraction', 1e-6, 'ppm'],
  ['resistance', 1, 'ohm Ω'],
  ['resistance', 0.001, 'mohm mΩ'],
  ['resistance', 1000, 'kohm kΩ'],
  ['resistance', 1e6, 'Mohm MΩ'],
  ['frequency', 1, 'Hz'],
  ['frequency', 1000, 'kHz'],
  ['count', 1, 'count counts'],
  ['energy', 1, 'J'],
  ['energy', 3600, 'Wh'],
  ['energy', KILOWATT_HOUR_J, 'kWh'],
  ['mass', 1, 'kg'],
  ['mass', 0.001, 'g'],
  ['mass', POUND_KG, 'lb lbs'],
];

/** Trade words that people also write as PSI, GPM or Gal; none of them hides an SI prefix. */
const ANY_CASE = /^(psi[ag]?|g(al|allons?|p[mhd])|gal\/(min|h|d|day)|hp|in|ft|degf|degc)$/;

const BY_NAME = new Map<string, Converter>();
for (const [kind, scale, names, offset = 0] of ROWS) {
  for (const name of names.split(' ')) BY_NAME.set(name, { kind, scale, offset });
}
for (const [name, converter] of [...BY_NAME]) {
  const lower = name.toLowerCase();
  if (ANY_CASE.test(lower)) BY_NAME.set(lower, converter);
}

const PRICE = /^([A-Z]{3})\/(.+)$/;

/** The currency of a price of energy such as `USD/kWh`, else null. */
export function currencyOf(unit: string): string | null {
  return PRICE.exec(unit)?.[1] ?? null;
}

/**
 * How a unit becomes SI, or null where it is not known. For lengths the kind is `length`, which
 * also serves as head; a gauge or absolute pressure keeps its reference. AWG has no scale and is
 * read by `parseQuantity` only.
 */
export function converterFor(unit: string): Converter | null {
  const text = unit.trim();
  const lower = text.toLowerCase();
  const known = BY_NAME.get(text) ?? (ANY_CASE.test(lower) ? BY_NAME.get(lower) : undefined);
  if (known !== undefined) return known;
  const perEnergy = PRICE.exec(text)?.[2];
  const energy = perEnergy === undefined ? undefined : BY_NAME.get(perEnergy);
  if (energy?.kind !== 'energy') return null;
  return { kind: 'energy-price', scale: 1 / energy.scale, offset: 0 };
}

/** The first name of every unit of a kind, in the order of the table. */
export function unitsOf(kind: QuantityKind): string[] {
  return ROWS.filter((row) => row[0] === kind).map((row) => row[2].split(' ')[0] ?? '');
}
