import { leadingNumber } from '../../units/number.ts';

/** Rows that are not empty, with their lines, of a text with or without a byte-order mark. */
export const rowsOf = (text: string) =>
  text
    .replace(/^\ufeff/, '')
    .split(/\r?\n/)
    .map((row, i) => ({ row, line: i + 1 }))
    .filter(({ row }) => row.trim() !== '');

export const refused = (problem: string): { ok: false; problems: string[] } => ({
  ok: false,
  problems: [problem],
});
/** A cell without its quotes. */
export const bare = (cell: string) => cell.trim().replaceAll(/^"|"$/g, '').trim();

/** NaN where a cell is no number and nothing else. */
export function numberOf(cell: string, comma: boolean): number {
  const read = leadingNumber(comma ? cell.replace(',', '.') : cell);
  return read === null || read.rest !== '' ? Number.NaN : read.value;
}
