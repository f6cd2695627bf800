import { describe, expect, it } from 'vitest';
import { createBaseline, learnBaseline, toldOf } from './baseline.ts';
import { MEASURES, type Sample } from './measures.ts';
import type { RunRecord } from './run-record.ts';

const DAY_S = 86_400;
const none = Object.fromEntries(MEASURES.map((m) => [m, NaN])) as Sample;
const run = (startS: number) =>
  ({
    startS,
    stopS: startS + 90,
    begun: 'cut-in',
    ended: 'cut-out',
    breaks: 0,
    meanA: 8,
    meanX: 0,
    slopeA: NaN,
  }) as RunRecord;

describe('what is usual', () => {
  it('is learnt in seven days and thirty runs, whichever is later', () => {
    const base = createBaseline();
    for (let k = 0; k < 7 * 6; k++)
      learnBaseline(base, run(k * (DAY_S / 6)), { ...none, duty: 0.02 }, false);
    expect(base).toMatchObject({ learnt: false, runs: 42 });
    learnBaseline(base, run(7 * DAY_S), { ...none, duty: 0.02 }, false);
    expect(base.learnt).toBe(true);
  });
  it('is never of a sick well without a word', () => {
    const told = (sick: number) => {
      const base = createBaseline();
      expect(toldOf(base)).toEqual([]);
      for (let k = 0; k <= 42; k++)
        learnBaseline(base, run(k * (DAY_S / 6)), { ...none, duty: 0.02 }, k < sick);
      return toldOf(base).join();
    };
    expect(told(0)).toBe('');
    expect(told(3)).toContain('3 of the 43 runs');
    expect(told(20)).toContain('was learnt while something was wrong');
  });
  it('is not learnt from the many runs of one day on which a pipe burst', () => {
    const base = createBaseline();
    // Two runs a day for nine days, then one every seven minutes.
    for (let k = 0; k < 18; k++)
      learnBaseline(base, run(k * (DAY_S / 2)), { ...none, duty: 0.01 }, false);
    for (let k = 0; k < 200; k++)
      learnBaseline(base, run(9 * DAY_S + k * 420), { ...none, duty: 0.7 }, false);
    expect(base.learnt).toBe(false);
    expect(base.runs).toBeLessThan(30);
    expect(base.centre.duty).toBeCloseTo(0.01, 9);
  });
});
