import { checkInstallation } from '../../src/instruments/installation/check-installation.ts';
import type { InstallationResult } from '../../src/model/installation.ts';
import type { Well } from '../../src/model/well.ts';
import { formatIssue } from '../../src/wellfile/issue.ts';
import { parseWellFile } from '../../src/wellfile/parse.ts';

/** Keys of a well file by section and key, as in `'tank.volume': '44 gal'`; null takes one away. */
export type Keys = Record<string, string | number | null>;

/** A house well with every key that the installation check reads. */
export const WHOLE: Keys = {
  name: 'Gravel bend',
  altitude: '0 ft',
  'well.static_level': '100 ft',
  'well.casing': '6 in',
  'pump.kind': 'submersible',
  'pump.motor': '3-wire',
  'pump.power': '3/4 hp',
  'pump.voltage': '230 V',
  'pump.phases': 1,
  'pump.full_load_current': '7 A',
  'pump.service_factor_current': '8 A',
  'pump.rated_flow': '10 gpm',
  'pump.intake_depth': '180 ft',
  'pipe.material': 'plastic',
  'pipe.inside_diameter': '1.049 in',
  'pipe.length': '150 ft',
  'cable.size': '12 AWG',
  'cable.length': '200 ft',
  'tank.volume': '86 gal',
  'tank.precharge': '38 psi',
  'tank.rated_pressure': '125 psi',
  'switch.cut_in': '40 psi',
  'switch.cut_out': '60 psi',
  'relief.opens': '75 psi',
  'energy.price': '0.17 USD/kWh',
  'house.people': 3,
};

/** A well file of keys; other TOML may follow. */
export function fileOf(keys: Keys, more = ''): string {
  const lines = Object.entries(keys)
    .filter(([, value]) => value !== null)
    .map(
      ([key, value]) =>
        `${key} = ${String(value).startsWith('[[') ? value : JSON.stringify(value)}`,
    );
  return `${lines.join('\n')}\n${more}`;
}

export function wellOfKeys(keys: Keys, more = ''): Well {
  const parsed = parseWellFile(fileOf(keys, more));
  if (parsed.ok) return parsed.well;
  throw new Error(parsed.issues.map((issue) => formatIssue(issue, 'well.toml')).join('\n'));
}

/** One result of the check of the whole well with some keys changed. */
export function resultOf(id: string, changes: Keys = {}, more = ''): InstallationResult {
  const { results } = checkInstallation(wellOfKeys({ ...WHOLE, ...changes }, more));
  const result = results.find((one) => one.id === id);
  if (result === undefined) throw new Error(`no result ${id}`);
  return result;
}
