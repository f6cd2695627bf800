import type { Quantity, SourceMark } from '../model/well.ts';
import { EXAMPLE } from '../units/kinds.ts';
import { parseQuantity, type QuantityKind } from '../units/parse.ts';
import { defaultStd, type Measured, stdOf, type UncertainKey } from './default-uncertainty.ts';
import { readInstant } from './instant.ts';
import { quoted } from './issue.ts';
import { type Cell, isTable } from './source.ts';
import { Table } from './table.ts';

/** What a quantity may be: its kind and, as the file would write them, its bounds. */
export interface QuantitySpec {
  kind: QuantityKind;
  least: string;
  most: string;
}

const SOURCES: readonly SourceMark[] = ['measured', 'nameplate', 'drillers-log', 'guess'];

/** A quantity with its uncertainty: text, or a table of value, source, uncertainty and on. */
export function readQuantity(cell: Cell, sure: UncertainKey, spec: QuantitySpec): Quantity | null {
  if (!cell.isThere) return null;
  if (isTable(cell.given)) {
    return readDetailed(new Table(cell.source, cell.path, cell.given), sure, spec);
  }
  const value = readSi(cell, spec);
  if (value === null) return null;
  const std = defaultStd(sure, 'nameplate', { value, kind: spec.kind });
  return { value, std, source: 'nameplate', onS: null };
}

function readDetailed(table: Table, sure: UncertainKey, spec: QuantitySpec): Quantity | null {
  const valueCell = table.need('value', `a quantity such as "${EXAMPLE[spec.kind]}"`);
  const value = valueCell && readSi(valueCell, spec);
  const source = table.choice('source', SOURCES) ?? 'nameplate';
  const onS = readInstant(table.cell('on'), 'date');
  const stdCell = table.cell('uncertainty');
  table.close();
  const of = { value: value ?? 1, kind: spec.kind };
  const std = stdCell.isThere ? readStd(stdCell, of) : defaultStd(sure, source, of);
  return value === null || std === null ? null : { value, std, source, onS };
}

/** A written standard uncertainty: a share or a quantity, above zero. */
export function readStd(cell: Cell, of: Measured): number | null {
  const isShare = typeof cell.given === 'string' && cell.given.trim().endsWith('%');
  if (parsedValue(cell, isShare ? 'fraction' : of.kind) === null) return null;
  const std = stdOf(String(cell.given), of);
  return std > 0 && Number.isFinite(std) ? std : cell.impossible('an uncertainty above zero');
}

/** A quantity in SI, within its bounds. */
export function readSi(cell: Cell, { kind, least, most }: QuantitySpec): number | null {
  const value = parsedValue(cell, kind);
  if (value === null) return null;
  if (value >= bound(least, kind) && value <= bound(most, kind)) return value;
  return cell.impossible(`between ${least} and ${most}`);
}

function bound(text: string, kind: QuantityKind): number {
  const parsed = parseQuantity(text, kind);
  return parsed.ok ? parsed.value : Number.NaN;
}

function parsedValue(cell: Cell, kind: QuantityKind): number | null {
  const { given } = cell;
  // A bare number is told as what it lacks: its unit.
  if (typeof given === 'number') {
    return cell.report('missing-unit', `text with a unit such as "${EXAMPLE[kind]}"`);
  }
  if (typeof given !== 'string') {
    return cell.wrongType(`text with a unit such as "${EXAMPLE[kind]}"`);
  }
  const parsed = parseQuantity(given, kind);
  if (parsed.ok) return parsed.value;
  const code = parsed.code === 'not-positive' ? 'impossible-value' : parsed.code;
  return cell.report(code, parsed.expected, quoted(parsed.found));
}
