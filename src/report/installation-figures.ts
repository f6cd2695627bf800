import type { InstallationInput, InstallationKind } from '../model/installation.ts';
import { formatEstimate, formatValue } from '../units/format.ts';
import { HORSEPOWER_W } from '../units/table.ts';

type System = 'us' | 'si';
interface OwnUnit {
  unit: string;
  scale: number;
}

const INCH_M = 0.0254;
const DAY_S = 86_400;
const BOTH = {
  conductor: { unit: 'mm2', scale: 1e-6 },
  resistance: { unit: 'ohm', scale: 1 },
  'per-hour': { unit: '/h', scale: 1 / 3600 },
  'per-day': { unit: '/day', scale: 1 / DAY_S },
  minutes: { unit: 'min', scale: 60 },
  number: { unit: '', scale: 1 },
};

/** Units of kinds that only a contractor's arithmetic shows. */
const OWN: Record<System, Partial<Record<InstallationKind, OwnUnit>>> = {
  us: {
    ...BOTH,
    diameter: { unit: 'in', scale: INCH_M },
    speed: { unit: 'ft/s', scale: 0.3048 },
    power: { unit: 'hp', scale: HORSEPOWER_W },
  },
  si: {
    ...BOTH,
    diameter: { unit: 'mm', scale: 0.001 },
    speed: { unit: 'm/s', scale: 1 },
  },
};

/** Printed as a kind of scale 1 with two decimals, whose unit is then taken off. */
const PLAIN = 'current';

function withUnit(text: string, unit: string): string {
  return `${text.slice(0, text.lastIndexOf(' '))} ${unit}`.trimEnd();
}

/** A figure with its unit. */
export function shownValue(value: number, kind: InstallationKind, system: System): string {
  const own = OWN[system][kind];
  if (own === undefined) return formatValue(value, kind as 'pressure', system);
  return withUnit(formatValue(value / own.scale, PLAIN, system), own.unit);
}

/** A figure with its 95 % uncertainty and its unit. */
export function shownEstimate(
  { value, std, kind }: { value: number; std: number; kind: InstallationKind },
  system: System,
): string {
  const own = OWN[system][kind];
  if (own === undefined) return formatEstimate(value, std, kind as 'pressure', system);
  return withUnit(formatEstimate(value / own.scale, std / own.scale, PLAIN, system), own.unit);
}

/** A figure as it goes into the working, with what is open of it. */
export function shownInput(
  input: { value: number; std: number; kind: InstallationKind },
  system: System,
): string {
  const plain = shownValue(input.value, input.kind, system);
  if (input.std <= 0) return plain;
  const [, spread = ''] = / (± \S+)/.exec(shownEstimate(input, system)) ?? [];
  const end = plain.lastIndexOf(' ');
  return end < 0 ? `${plain} ${spread}` : `${plain.slice(0, end)} ${spread}${plain.slice(end)}`;
}

/** The formula with each symbol replaced by its figure in the units shown. */
export function withFigures(
  formula: string,
  inputs: readonly InstallationInput[],
  system: System,
): string {
  const figures = new Map(
    inputs.map(({ symbol, value, kind }) => [symbol, bareFigure(value, kind, system)]),
  );
  const [, right = ''] = formula.split(' = ');
  return right.replaceAll(/[A-Za-z]\w*/g, (symbol) => figures.get(symbol) ?? symbol);
}

function bareFigure(value: number, kind: InstallationKind, system: System): string {
  const text = shownValue(value, kind, system);
  const end = text.lastIndexOf(' ');
  const bare = (end < 0 ? text : text.slice(0, end)).replaceAll(',', '');
  return bare.startsWith('-') ? `(${bare})` : bare;
}
