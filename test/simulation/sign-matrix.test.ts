import { describe, expect, it } from 'vitest';
import { textOf } from '../support/source-scan.ts';
import { runSignMatrix, SIGN_MATRIX } from './sign-matrix.ts';
import { rowsPrinted } from './sign-matrix-text.ts';

describe('the sign matrix of the trade', () => {
  const results = runSignMatrix();
  it.each(SIGN_MATRIX.map((row) => [row.entry, row] as const))('%s', (_, row) => {
    const own = results.filter((r) => r.row === row);
    expect(own.length).toBe(row.checks.length);
    for (const { check, seen, within } of own) {
      const says = `${check.sign}: ${check.low} to ${check.high}, seen ${seen}`;
      // An explanation stands only where the plant really does otherwise.
      if (check.because === undefined) expect(within, says).toBe(true);
      else expect([within, Number.isFinite(seen)], says).toEqual([false, true]);
    }
  });
  it('is printed in the docs as it came out', () => {
    const printed = textOf('docs/rehearsal.md').replaceAll(/ +/g, ' ');
    for (const line of rowsPrinted(results)) expect(printed).toContain(line);
  });
});
