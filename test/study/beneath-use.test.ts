import { describe, expect, it } from 'vitest';
import { caseOf } from '../../src/cli/exam/case-id.ts';
import { runCase } from '../../src/cli/exam/run-case.ts';

// Common practice: people draw harder in a sick well as well, and a fault is no less true for it.
describe('a tank that lost its air in a house that draws harder meanwhile', () => {
  it('is told, and not the use over it', () => {
    const { study } = runCase(caseOf('tank-waterlogged.I.60.18008.22'), null);
    const open = study.findings.filter(({ cleared }) => cleared === null);
    expect(open.map(({ fault }) => fault)).toEqual(['tank-waterlogged']);
    expect(open[0]!.probability).toBeGreaterThan(0.6);
  });
});
