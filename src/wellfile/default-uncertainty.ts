import type { SourceMark } from '../model/well.ts';
import type { QuantityKind } from '../units/parse.ts';
import { parseQuantity } from '../units/parse.ts';

/** Standard uncertainty as the well file would write it: a share of the value, or a quantity. */
interface DefaultRow {
  measured: string;
  nameplate: string;
  drillersLog: string;
}

/**
 * Standard uncertainty where the well file gives none, by key and source; a guess has three
 * times that of the nameplate. Printed in docs/formats/well-file.md. Tank volume, precharge and
 * a driller's static level are fixed by design; the others are common practice: maker's
 * tolerances, setting errors of new switches and relief valves, lengths told from memory.
 */
export const DEFAULT_UNCERTAINTY = {
  altitude: { measured: '20 ft', nameplate: '100 ft', drillersLog: '100 ft' },
  'well.static_level': { measured: '1 ft', nameplate: '10 ft', drillersLog: '10 ft' },
  'well.casing': { measured: '1 %', nameplate: '2 %', drillersLog: '2 %' },
  'pump.power': { measured: '2 %', nameplate: '5 %', drillersLog: '5 %' },
  'pump.voltage': { measured: '1 %', nameplate: '4 %', drillersLog: '4 %' },
  'pump.full_load_current': { measured: '2 %', nameplate: '5 %', drillersLog: '5 %' },
  'pump.service_factor_current': { measured: '2 %', nameplate: '5 %', drillersLog: '5 %' },
  'pump.rated_flow': { measured: '3 %', nameplate: '8 %', drillersLog: '15 %' },
  'pump.intake_depth': { measured: '2 ft', nameplate: '10 ft', drillersLog: '5 ft' },
  'pipe.inside_diameter': { measured: '1 %', nameplate: '3 %', drillersLog: '5 %' },
  'pipe.length': { measured: '1 %', nameplate: '5 %', drillersLog: '5 %' },
  'cable.size': { measured: '2 %', nameplate: '3 %', drillersLog: '3 %' },
  'cable.length': { measured: '1 %', nameplate: '5 %', drillersLog: '5 %' },
  'tank.volume': { measured: '2 %', nameplate: '5 %', drillersLog: '5 %' },
  'tank.precharge': { measured: '1 psi', nameplate: '3 psi', drillersLog: '3 psi' },
  'tank.rated_pressure': { measured: '5 %', nameplate: '5 %', drillersLog: '5 %' },
  'switch.cut_in': { measured: '0.5 psi', nameplate: '2 psi', drillersLog: '2 psi' },
  'switch.cut_out': { measured: '0.5 psi', nameplate: '2 psi', drillersLog: '2 psi' },
  'relief.opens': { measured: '2 psi', nameplate: '5 psi', drillersLog: '5 psi' },
} as const satisfies Record<string, DefaultRow>;

/** The same for what tests and calibrations measure. */
export const MEASURED_UNCERTAINTY = {
  'calibration.points (pressure)': '0.5 psi',
  'calibration.points (current)': '0.15 A',
  'precharge_test.pressure': '1 psi',
  'drain_test.volume': '1 %',
  'throttle_test.points (pressure)': '0.5 psi',
  'throttle_test.points (flow)': '2 %',
  'recovery_test.flow': '2 %',
  'sounding.level': '0.5 ft',
} as const;

/** A volume drawn into a bucket: this share, not below this volume. */
export const BUCKET_UNCERTAINTY = { share: '1 %', least: '0.05 gal' } as const;

export type UncertainKey = keyof typeof DEFAULT_UNCERTAINTY;

/** A value in SI and what it is a quantity of. */
export interface Measured {
  value: number;
  kind: QuantityKind;
}

const GUESS_FACTOR = 3;

export function defaultStd(key: UncertainKey, source: SourceMark, of: Measured): number {
  const { measured, nameplate, drillersLog } = DEFAULT_UNCERTAINTY[key];
  if (source === 'measured') return stdOf(measured, of);
  if (source === 'drillers-log') return stdOf(drillersLog, of);
  return stdOf(nameplate, of) * (source === 'guess' ? GUESS_FACTOR : 1);
}

/**
 * An uncertainty as written, in SI: a share such as `5 %` of the value, or a quantity of the
 * kind of the value. NaN where it cannot be read.
 */
export function stdOf(text: string, of: Measured): number {
  const share = parseQuantity(text, 'fraction');
  if (share.ok) return share.value * Math.abs(of.value);
  const own = parseQuantity(text, of.kind);
  return own.ok ? own.value : Number.NaN;
}
