import { describe, expect, it } from 'vitest';
import { clear, createFindings, raise } from './findings.ts';
import { isHabit } from './habit.ts';

const HOUR_S = 3600;
const DAY_S = 86_400;

/** Heavy use told on these days, for two hours each. */
function told(days: readonly number[]) {
  const findings = createFindings();
  for (const day of days) {
    const sinceS = day * DAY_S;
    const nowS = sinceS + HOUR_S;
    raise(findings, {
      fault: 'heavy-use',
      by: 'sign',
      probability: 0.6,
      instead: [],
      sinceS,
      nowS,
      evidence: [],
    });
    clear(findings, 'heavy-use', sinceS + 2 * HOUR_S);
  }
  return findings;
}

describe('a habit of the house', () => {
  it('is what was told twice within a month and was over by itself', () => {
    const at = (days: readonly number[], day: number) =>
      isHabit(told(days), day * DAY_S, day * DAY_S + HOUR_S);
    expect(at([0], 4)).toBe(false);
    expect(at([0, 4], 8)).toBe(true);
    expect(at([0, 4], 32)).toBe(false);
  });
  it('is none where it goes on for half as long again', () => {
    const findings = told([0, 4]);
    expect(isHabit(findings, 8 * DAY_S, 8 * DAY_S + 2.9 * HOUR_S)).toBe(true);
    expect(isHabit(findings, 8 * DAY_S, 8 * DAY_S + 3.1 * HOUR_S)).toBe(false);
  });
});
