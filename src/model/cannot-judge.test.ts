import { describe, expect, it } from 'vitest';
import { alikeTo, cannotJudge } from './cannot-judge.ts';
import { FAULT_NAMES } from './faults.ts';
import { type AtHand, knowable } from './knowable.ts';

const two: AtHand = {
  channels: ['pressure', 'current'],
  runIntervalS: 1,
  restIntervalS: 1,
  atSetTimes: true,
  baselineDays: 30,
  test: null,
};
const NONE: ReadonlySet<string> = new Set();

describe('what cannot be judged', () => {
  it('from two signals is the start circuit and what takes volts', () => {
    expect(cannotJudge(two, NONE).map(({ says }) => says)).toEqual([
      "the start circuit can't be judged from these channels: it takes the channel start-time",
      "low voltage, high voltage and a bad joint in the supply can't be judged from these " +
        'channels: it takes the channel mains',
      "water hammer can't be judged yet: it takes a reading every 0.2 s while the pump runs and " +
        'a reading every 0.2 s at rest',
    ]);
  });
  it('holds each such fault once, and none that was judged', () => {
    const early = { ...two, baselineDays: 2, restIntervalS: 60 };
    const groups = cannotJudge(early, new Set(['pump-worn']));
    const all = groups.flatMap(({ faults }) => faults);
    const expected = FAULT_NAMES.filter(
      (fault) =>
        fault !== 'unknown-trouble' &&
        fault !== 'pump-worn' &&
        knowable(fault, early).level === 'not-judgeable',
    );
    expect(all.toSorted()).toEqual(expected.toSorted());
    expect(all.length).toBeGreaterThan(10);
  });
  it('is told in a few lines however much it is', () => {
    const says = cannotJudge({ ...two, baselineDays: 2 }, NONE).map((one) => one.says);
    expect(says.length).toBeLessThan(6);
    for (const line of says) expect(line.length).toBeLessThan(330);
    expect(says.some((line) => /and \d+ more can't be judged yet/.test(line))).toBe(true);
  });
});

describe('what looks the same as a fault', () => {
  it('is less after the test that parts it', () => {
    expect(alikeTo('leak-house', two, [])!.group).toHaveLength(3);
    expect(alikeTo('leak-house', two, ['precharge', 'isolation'])!.group).toEqual([
      'fixture-running',
    ]);
    expect(alikeTo('tank-waterlogged', two, [])!.says).toContain('looks the same from here as');
    expect(alikeTo('tank-waterlogged', two, ['precharge'])).toBeNull();
  });
  it('is not told of what stands alone, cannot be judged or has no name', () => {
    expect(alikeTo('precharge-high', two, [])).toBeNull();
    expect(alikeTo('start-circuit-weak', two, [])).toBeNull();
    expect(alikeTo('unknown-trouble', two, [])).toBeNull();
  });
});
