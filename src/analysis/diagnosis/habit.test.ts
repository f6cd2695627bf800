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
      isHabit(told(days), { sinceS: day * DAY_S, nowS: day * DAY_S + HOUR_S, lastS: NaN });
    expect(at([0], 4)).toBe(false);
    expect(at([0, 4], 8)).toBe(true);
    expect(at([0, 4], 32)).toBe(false);
  });
  it('stays one for as long as it comes back within a month', () => {
    const at = (day: number, lastDay: number) =>
      isHabit(told([0, 4]), {
        sinceS: day * DAY_S,
        nowS: day * DAY_S + HOUR_S,
        lastS: lastDay * DAY_S,
      });
    expect(at(120, 95)).toBe(true);
    expect(at(120, 85)).toBe(false);
    expect(at(380, 376)).toBe(false);
  });
  it('is none where it goes on for half as long again', () => {
    const findings = told([0, 4]);
    const lasting = (hours: number) =>
      isHabit(findings, { sinceS: 8 * DAY_S, nowS: 8 * DAY_S + hours * HOUR_S, lastS: NaN });
    expect(lasting(2.9)).toBe(true);
    expect(lasting(3.1)).toBe(false);
  });
});
