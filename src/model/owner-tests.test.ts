import { describe, expect, it } from 'vitest';
import { ACT_CAUTIONS } from './cautions.ts';
import { FAULTS } from './faults.ts';
import { OWNER_TESTS, stepsInWords } from './owner-tests.ts';
import type { TestName } from './study.ts';

const tests = Object.keys(OWNER_TESTS) as TestName[];

describe.each(tests)('the %s', (name) => {
  const test = OWNER_TESTS[name];
  it('has beside its steps every caution of the act, and no other', () => {
    const beside = test.steps.flatMap(({ cautions }) => cautions);
    expect([...new Set(beside)].toSorted()).toEqual([...ACT_CAUTIONS[name]].toSorted());
  });
  it('says each step in a few plain sentences', () => {
    expect(test.steps.length).toBeGreaterThan(0);
    for (const { says } of test.steps) {
      expect(says).toMatch(/^[A-Z].*\.$/);
      expect(says.length).toBeLessThan(180);
    }
  });
  it('tells apart faults that there are, two at least in a group', () => {
    expect(test.settles.length).toBeGreaterThan(0);
    for (const group of test.settles) {
      expect(new Set(group).size).toBeGreaterThanOrEqual(2);
      for (const fault of group) expect(Object.keys(FAULTS)).toContain(fault);
    }
  });
  it('asks for no pump shut in, and none started again and again', () => {
    expect(stepsInWords(name)).not.toMatch(/dead.?head|shut.?off|restart|start it again/i);
  });
});

describe('who does what', () => {
  it('leaves wiring and the open well to those who may', () => {
    expect(OWNER_TESTS.sounding.by).toBe('contractor');
    expect(OWNER_TESTS.electrician.by).toBe('electrician');
    for (const name of tests) {
      const { by, cost, risk } = OWNER_TESTS[name];
      if (by !== 'owner') expect([cost, risk]).toEqual([3, 2]);
      else expect(risk).toBeLessThan(2);
    }
  });
  it('turns the breaker on again wherever it was turned off', () => {
    for (const name of tests) {
      const says = stepsInWords(name);
      if (says.includes('breaker off')) expect(says).toContain('breaker on and see the pressure');
    }
  });
  it('waits with the valve until a relief valve is known to work', () => {
    for (const name of ['isolation', 'fill', 'throttle'] as const) {
      const at = (id: string) =>
        OWNER_TESTS[name].steps.findIndex(({ cautions }) => (cautions as string[]).includes(id));
      expect(at('relief-works-first')).toBe(0);
      expect(at('never-close-off-a-running-pump')).toBeGreaterThan(0);
    }
  });
});
