import type { SignResult } from './sign-matrix.ts';

const digits = (x: number) => {
  if (x === Number.POSITIVE_INFINITY) return 'any';
  return Math.abs(x) >= 100 ? x.toFixed(0) : String(Number(x.toPrecision(3)));
};

/** The matrix as rows of a table: entry, fault, system, sign, range of the trade, seen, verdict. */
export function rowsPrinted(results: readonly SignResult[]): string[] {
  return results.map(({ row, check, seen, within }) => {
    const form = [row.form, row.severity === undefined ? '' : `severity ${row.severity}`];
    const fault = [`\`${row.fault}\``, ...form.filter((x) => x)].join(' ');
    const range =
      check.low === check.high
        ? digits(check.low)
        : `${digits(check.low)} to ${digits(check.high)}`;
    const verdict = within ? 'reproduced' : `explained: ${check.because}`;
    const cells = [row.entry, fault, row.system, check.sign, range, digits(seen), verdict];
    return `| ${cells.join(' | ')} |`;
  });
}
