import { displayUnit } from '../../units/format.ts';

type Units = 'us' | 'si';

/** A voltage with millivolts where it is small. */
export const volts = (v: number): string =>
  Math.abs(v) < 0.1 ? `${(1000 * v).toFixed(1)} mV` : `${Number(v.toPrecision(4))} V`;

export const amps = (a: number): string =>
  Math.abs(a) < 0.1 ? `${(1000 * a).toPrecision(2)} mA` : `${Number(a.toPrecision(3))} A`;

/** A gauge pressure or a difference of pressures with three digits. */
export function pressure(pa: number, units: Units): string {
  const { unit, scale } = displayUnit('pressure', units);
  return `${Number((pa / scale).toPrecision(3))} ${unit}`;
}

export const seconds = (s: number): string =>
  s < 1 ? `${Number((1000 * s).toPrecision(4))} ms` : `${Number(s.toPrecision(4))} s`;

export const percent = (share: number): string => `${Number((100 * share).toPrecision(2))} %`;

export function ohms(r: number): string {
  const [scale, unit] = r >= 1e6 ? [1e6, 'Mohm'] : r >= 1000 ? [1000, 'kohm'] : [1, 'ohm'];
  return `${Number((r / scale).toPrecision(3))} ${unit}`;
}

export const hertz = (f: number): string => `${Number(f.toPrecision(4))} Hz`;
