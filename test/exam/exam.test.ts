import { describe, expect, it } from 'vitest';
import { caseOf } from '../../src/cli/exam/case-id.ts';
import { examText } from '../../src/cli/exam/exam-text.ts';
import { everyFault, planOf } from '../../src/cli/exam/plan.ts';
import { runCase } from '../../src/cli/exam/run-case.ts';

const options = (short: boolean) => ({
  short,
  systems: [...'ABCDEFGHIJKL'],
  faults: everyFault(),
  seedFrom: 1000,
  days: null,
  healthyYears: 20,
});

describe('the plan of an exam', () => {
  it('has every fault on at least ten systems, and twenty sound well-years', () => {
    const cases = planOf(options(false));
    const years = cases.filter((c) => c.faults.length === 0).reduce((s, c) => s + c.days / 365, 0);
    expect(years).toBeCloseTo(20, 6);
    expect(new Set(cases.map((c) => c.system)).size).toBeGreaterThanOrEqual(10);
    for (const fault of everyFault())
      expect(cases.filter((c) => c.faults.includes(fault)).length, fault).toBeGreaterThanOrEqual(3);
    expect(new Set(cases.map((c) => `${c.seed} ${c.system} ${c.faults}`)).size).toBe(cases.length);
  });

  it('has every fault once in its short form', () => {
    const sick = planOf(options(true)).filter((c) => c.faults.length > 0);
    expect(sick.flatMap((c) => c.faults).toSorted()).toEqual(everyFault().toSorted());
  });
});

describe('an exam', () => {
  it('counts a fault named first, a sound well left alone, and prints both', () => {
    const sick = runCase(caseOf('current-clamp-off.H.100.1900.12'), null).record;
    expect(sick.findings[0]!.fault).toBe('current-clamp-off');
    const wells = planOf({ ...options(true), systems: ['C'], healthyYears: 0.05 });
    const sound = runCase(wells.find((c) => c.faults.length === 0)!, null).record;
    expect(sound.findings).toEqual([]);
    const text = examText([sick, sound]);
    expect(text).toContain('current-clamp-off');
    for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(96);
  }, 60_000);
});
