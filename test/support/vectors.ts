import { globSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { expect } from 'vitest';
import { leadingNumber } from '../../src/units/number.ts';
import { converterFor, parseQuantity } from '../../src/units/parse.ts';

/** How far a result may be from the printed figure, and why that far. */
interface Tolerance {
  relative?: number;
  absolute?: number | string;
}

interface Row {
  /** One object for an options argument, an array for positional arguments. */
  inputs: unknown;
  /** A number in SI, a quantity with its unit as printed, or "NaN". */
  expected: number | string;
  tolerance?: Tolerance;
  why?: string;
}

export interface VectorSet {
  source: string;
  /** Key in docs/references.json, where the source is a publication. */
  reference?: string;
  /** Edition, table, page, equation. */
  locator: string;
  /** How the figures came here: read, read in another's copy, from memory, computed. */
  provenance: string;
  origin: 'published' | 'reference-library' | 'independent-computation' | 'from-memory';
  /** For rows that are not from outside: how they were computed. */
  how?: string;
  tolerance?: Tolerance;
  why?: string;
  rows: Row[];
}

export interface VectorFile {
  path: string;
  function: string;
  sets: VectorSet[];
}

/** Units that occur in hydrogeology and fluid tables and nowhere in the product. */
const ONLY_IN_TABLES: Record<string, number> = {
  'm2/d': 1 / 86_400,
  'm2/s': 1,
  'gpd/ft': 3.785411784e-3 / 86_400 / 0.3048,
  'gpm/ft': 3.785411784e-3 / 60 / 0.3048,
  'gal/ft': 3.785411784e-3 / 0.3048,
  'uPa s': 1e-6,
  'mm2/s': 1e-6,
  'psi gal': 6894.757293168361 * 3.785411784e-3,
  'lb/ft3': 0.45359237 / 0.3048 ** 3,
  'kWh/kgal': 3.6e6 / 3.785411784,
};

/** A quantity as a table prints it, in SI; other text comes back as it is. */
function resolved(given: unknown): unknown {
  if (Array.isArray(given)) return given.map(resolved);
  if (typeof given === 'object' && given !== null) {
    return Object.fromEntries(Object.entries(given).map(([key, value]) => [key, resolved(value)]));
  }
  if (typeof given !== 'string') return given;
  return given === 'NaN' ? Number.NaN : (inSI(given) ?? given);
}

function inSI(text: string): number | null {
  const gauge = parseQuantity(text, 'area-of-conductor');
  if (gauge.ok) return gauge.value;
  const number = leadingNumber(text);
  if (number === null) return null;
  const special = ONLY_IN_TABLES[number.rest];
  if (special !== undefined) return number.value * special;
  const converter = converterFor(number.rest);
  return converter === null ? null : number.value * converter.scale + converter.offset;
}

/** Reads every vectors file under a folder; throws where there is none. */
export function vectorFilesUnder(folder: string): VectorFile[] {
  const paths = globSync(`${folder}/**/*.vectors.json`).sort();
  if (paths.length === 0) throw new Error(`no vectors file under ${folder}`);
  return paths.map((path) => ({ path, ...JSON.parse(readFileSync(path, 'utf8')) }));
}

/** The formula that a vectors file belongs to. */
export async function formulaOf(file: VectorFile): Promise<(...given: unknown[]) => number> {
  const module = await import(resolve(file.path.replace(/\.vectors\.json$/, '.ts')));
  const formula = module[file.function];
  if (typeof formula !== 'function') throw new Error(`${file.path}: no function ${file.function}`);
  return formula;
}

/** Asserts every row of a set and returns how many were asserted. */
export function assertRows(formula: (...given: unknown[]) => number, set: VectorSet): number {
  let asserted = 0;
  for (const row of set.rows) {
    const inputs = resolved(row.inputs);
    const found = Array.isArray(inputs) ? formula(...inputs) : formula(inputs);
    const expected = resolved(row.expected);
    const about = `${set.source}, ${set.locator}: ${JSON.stringify(row.inputs)}`;
    if (typeof expected !== 'number') throw new Error(`${about}: expected is no quantity`);
    if (Number.isNaN(expected)) expect(found, about).toBeNaN();
    else expect(Math.abs(found - expected), about).toBeLessThanOrEqual(allowed(row, set, expected));
    asserted += 1;
  }
  return asserted;
}

function allowed(row: Row, set: VectorSet, expected: number): number {
  const { relative, absolute } = row.tolerance ?? set.tolerance ?? {};
  const span = resolved(absolute);
  if (typeof span === 'number') return span;
  if (relative === undefined) throw new Error(`${set.source}, ${set.locator}: no tolerance`);
  return relative * Math.abs(expected);
}
