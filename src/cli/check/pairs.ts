import type { CalibrationPair } from '../../instruments/calibrate/types.ts';
import { converterFor } from '../../units/parse.ts';
import { bare, numberOf, refused, rowsOf } from './cells.ts';

/** Pairs of a file, with the raw unit they are in, or all that is wrong with it. */
export type PairsRead =
  | { ok: true; pairs: CalibrationPair[]; raw: 'V' | 'count' }
  | { ok: false; problems: string[] };

type Channel = 'pressure' | 'current';
type Field = 'raw' | 'rawStd' | 'reference' | 'referenceStd' | 'time';

interface Column {
  field: Field;
  /** What one of its unit is in SI; 1 for a time. */
  scale: number;
  /** V or count, of a raw column. */
  unit: string;
}

/** A file far larger than any calibration, and still nothing to a computer. */
const MOST_ROWS = 10_000;

/**
 * Reads paired readings: CSV with a heading of the raw channel and the channel with their units,
 * as in `pressure-raw [V],pressure [psi]`; `std` before the bracket gives the standard uncertainty
 * of each, `time` when it was read. All that is wrong is listed by line.
 */
export function readPairs(text: string, file: string, channel: Channel): PairsRead {
  const [heading, ...rest] = rowsOf(text);
  if (heading === undefined)
    return refused(`${file}:1: ${expectedHeading(channel)}, found nothing`);
  if (rest.length > MOST_ROWS) {
    return refused(`${file}: expected at most ${MOST_ROWS} rows, found ${rest.length}`);
  }
  const separator = /[;\t]/.exec(heading.row)?.[0] ?? ',';
  const cellsOf = (row: string) => row.split(separator).map(bare);
  const problems: string[] = [];
  const columns = cellsOf(heading.row).map((cell) => {
    const column = columnOf(cell, channel);
    if (typeof column !== 'string') return column;
    problems.push(`${file}:${heading.line}: ${column}`);
    return null;
  });
  const fields = columns.flatMap((column) => column?.field ?? []);
  const isWhole = fields.includes('raw') && fields.includes('reference');
  if (problems.length === 0 && !isWhole) {
    problems.push(`${file}:${heading.line}: ${expectedHeading(channel)}, found "${heading.row}"`);
  }
  if (new Set(fields).size < fields.length) {
    problems.push(`${file}:${heading.line}: expected each column once, found "${heading.row}"`);
  }
  if (problems.length > 0) return { ok: false, problems };
  const pairs = rest.map(({ row, line }) => {
    const cells = cellsOf(row);
    const told = (problem: string) => problems.push(`${file}:${line}: ${problem}`);
    return pairOf(cells, columns, { comma: separator !== ',', told });
  });
  if (pairs.length === 0) problems.push(`${file}: expected rows of readings, found none`);
  const raw = columns.find((column) => column?.field === 'raw')?.unit === 'V' ? 'V' : 'count';
  return problems.length > 0 ? { ok: false, problems } : { ok: true, pairs, raw };
}

const expectedHeading = (channel: Channel) =>
  `expected the columns ${channel}-raw [V] (or [count]) and ${channel} ` +
  `[${channel === 'pressure' ? 'psi' : 'A'}]`;

/** What a heading stands for, or what is wrong with it. */
function columnOf(cell: string, channel: Channel): Column | string {
  if (cell === 'time') return { field: 'time', scale: 1, unit: '' };
  const [, name = cell, std, unit = ''] = /^([a-z-]+)( std)? \[([^\]]*)\]$/.exec(cell) ?? [];
  const isRaw = name === `${channel}-raw`;
  if (!isRaw && name !== channel)
    return `${expectedHeading(channel)}, time or a std of these, found "${cell}"`;
  const converter = converterFor(unit);
  const kinds = isRaw ? ['voltage', 'count'] : [channel];
  if (converter === null || !kinds.includes(converter.kind)) {
    return `expected a unit of ${kinds.join(' or ')} in brackets, found "${cell}"`;
  }
  const field = isRaw ? (std ? 'rawStd' : 'raw') : std ? 'referenceStd' : 'reference';
  return { field, scale: converter.scale, unit: converter.kind === 'count' ? 'count' : 'V' };
}

function pairOf(
  cells: readonly string[],
  columns: readonly (Column | null)[],
  row: { comma: boolean; told: (problem: string) => void },
): CalibrationPair {
  const values: Record<Field, number> = {
    raw: Number.NaN,
    rawStd: Number.NaN,
    reference: Number.NaN,
    referenceStd: Number.NaN,
    time: Number.NaN,
  };
  if (cells.length !== columns.length) {
    row.told(`expected ${columns.length} cells, found ${cells.length}`);
  }
  columns.forEach((column, i) => {
    const cell = cells[i] ?? '';
    const isOptional = column?.field !== 'raw' && column?.field !== 'reference';
    if (column === null || (cell === '' && isOptional)) return;
    const value = column.field === 'time' ? unixS(cell) : numberOf(cell, row.comma) * column.scale;
    const isStd = column.field.endsWith('Std');
    if (Number.isFinite(value) && !(isStd && value < 0)) values[column.field] = value;
    else if (isStd && value < 0) {
      row.told(`expected an uncertainty of 0 or more in column ${i + 1}, found "${cell}"`);
    } else {
      const expected = column.field === 'time' ? 'a time such as 2026-04-01T15:00:00Z' : 'a number';
      row.told(`expected ${expected} in column ${i + 1}, found "${cell}"`);
    }
  });
  const { raw, rawStd, reference, referenceStd, time } = values;
  return { raw, rawStd, reference, referenceStd, atS: Number.isNaN(time) ? null : time };
}

const RFC3339 = /^\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d:\d\d(\.\d+)?([Zz]|[+-]\d\d:\d\d)$/;

/** Unix seconds of an instant: RFC 3339, or Unix seconds as they are. */
function unixS(cell: string): number {
  if (RFC3339.test(cell)) return Date.parse(cell.replace(' ', 'T')) / 1000;
  return /^\d{9,10}(\.\d+)?$/.test(cell) ? Number(cell) : Number.NaN;
}
