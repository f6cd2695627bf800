import { describe, expect, it } from 'vitest';
import type { FaultName } from '../../model/faults.ts';
import type { TestName } from '../../model/study.ts';
import type { TestOutcome } from '../owner-tests/types.ts';
import { ranked } from './chances.ts';
import { clear, createFindings, raise, takeTests } from './findings.ts';
import { afterTests, type Spoken, speaking, spokenBy } from './tests-speak.ts';

const DAY_S = 86_400;
const spoken = (
  test: TestName,
  over: [FaultName, number][],
  more: Partial<Spoken> = {},
): Spoken => ({
  test,
  startS: 10 * DAY_S,
  stopS: 10 * DAY_S + 3600,
  untilS: 24 * DAY_S,
  over: over.map(([fault, times]) => ({ fault, log: Math.log(times) })),
  evidence: { says: 'seen', observed: 1, expected: null, expectedStd: null, unit: '1' },
  ...more,
});
const chances = (...list: [FaultName, number][]) =>
  list.map(([fault, probability]) => ({ fault, probability }));
const of = (odds: { fault: string; probability: number }[], fault: FaultName) =>
  odds.find((one) => one.fault === fault)!.probability;

// Worked by hand with Bayes' rule.
describe('odds after a test', () => {
  it('that reads what the log has not go by its likelihoods: 0.4 x 9 against 0.4 and 0.2', () => {
    const { odds, left } = afterTests(
      chances(['precharge-low', 0.4], ['tank-waterlogged', 0.4], ['unknown-trouble', 0.2]),
      [spoken('precharge', [['precharge-low', 9]])],
    );
    expect(of(odds, 'precharge-low')).toBeCloseTo(3.6 / 4.2, 12);
    expect(of(odds, 'tank-waterlogged')).toBeCloseTo(0.4 / 4.2, 12);
    expect(left).toBe(1);
  });
  it('that reads the loss again part those that lose and leave the others as they were', () => {
    const { odds, left } = afterTests(
      chances(['leak-house', 0.6], ['check-valve-leak', 0.2], ['unknown-trouble', 0.2]),
      [
        spoken('isolation', [
          ['leak-house', 2],
          ['check-valve-leak', 18],
        ]),
      ],
    );
    // 0.6 x 2 and 0.2 x 18, together still 0.8.
    expect(of(odds, 'leak-house')).toBeCloseTo((0.8 * 1.2) / 4.8, 12);
    expect(of(odds, 'check-valve-leak')).toBeCloseTo((0.8 * 3.6) / 4.8, 12);
    expect(of(odds, 'unknown-trouble')).toBeCloseTo(0.2, 12);
    expect(left).toBe(1);
  });
  it('that finds nothing wrong take from the trouble itself', () => {
    const { odds, left } = afterTests(chances(['precharge-low', 0.8], ['unknown-trouble', 0.2]), [
      spoken('precharge', [['precharge-low', 0.05]]),
    ]);
    expect(left).toBeCloseTo(0.8 * 0.05 + 0.2, 12);
    expect(of(odds, 'precharge-low')).toBeCloseTo(0.04 / 0.24, 12);
  });
  it('stay as they are where it speaks of none of the faults', () => {
    const odds = chances(['rotor-locked', 0.7], ['unknown-trouble', 0.3]);
    expect(afterTests(odds, [spoken('isolation', [['leak-house', 9]])])).toEqual({ odds, left: 1 });
  });
  it('are told with the likeliest others, and add up to 1', () => {
    const told = ranked(
      chances(['leak-house', 0.7], ['fixture-running', 0.2], ['heavy-use', 0.001]),
    );
    expect(told.fault).toBe('leak-house');
    expect(told.instead.map(({ fault }) => fault)).toEqual(['fixture-running', 'unknown-trouble']);
    expect(told.probability + told.instead.reduce((s, o) => s + o.probability, 0)).toBeCloseTo(1);
  });
});

describe('a test speaks', () => {
  const air = spoken('precharge', [['precharge-low', 100]]);
  const loss = spoken('isolation', [['leak-house', 100]]);
  const none = spoken('isolation', [['leak-house', 0.01]]);
  const at = (sinceDay: number, nowDay: number) => ({
    sinceS: sinceDay * DAY_S,
    nowS: nowDay * DAY_S,
  });
  it('for trouble that was there when it was made', () => {
    expect(speaking([air, loss, none], at(9, 11))).toEqual([air, loss, none]);
  });
  it('or that it saw first, but not of what failed later or was put right', () => {
    expect(speaking([air, loss, none], at(12, 13))).toEqual([loss]);
  });
  it('until its time is over', () => {
    expect(speaking([air, loss, none], at(9, 24))).toEqual([]);
  });
  it('until a service, and no longer than a fortnight of a leak', () => {
    const outcome = (startS: number): TestOutcome => ({
      test: 'isolation',
      startS,
      stopS: startS + 3600,
      unusable: null,
      found: [{ what: 'lost with the house valve shut', value: 1e-6, std: 1e-7, unit: 'm3/s' }],
      bearing: [{ fault: 'leak-house', logLikelihood: -3, overSound: 2 }],
    });
    const services = [{ onS: 5 * DAY_S, did: 'new switch', resets: [], now: {} }];
    const [first, second] = spokenBy([outcome(DAY_S), outcome(6 * DAY_S)], services);
    expect(first!.untilS).toBe(5 * DAY_S);
    expect(second!.untilS).toBe(20 * DAY_S + 3600);
    expect(first!.over).toEqual([{ fault: 'leak-house', log: 2 }]);
    expect(first!.evidence!.says).toBe('by the isolation test: lost with the house valve shut');
    expect(spokenBy([{ ...outcome(0), bearing: [] }], services)).toEqual([]);
  });
});

describe('a finding and a test', () => {
  const sign = (nowS: number) => ({
    fault: 'tank-waterlogged' as const,
    by: 'sign' as const,
    probability: 0.6,
    instead: chances(['precharge-low', 0.2], ['unknown-trouble', 0.2]),
    sinceS: nowS,
    nowS,
    evidence: [{ says: 'starts', observed: 6, expected: 2, expectedStd: null, unit: 'starts' }],
  });
  const gauge = spoken('precharge', [
    ['precharge-low', 50],
    ['tank-waterlogged', 0.1],
  ]);
  it('is renamed by it once, stays so when the sign comes again, and ends with it', () => {
    const state = createFindings();
    raise(state, sign(9 * DAY_S));
    takeTests(state, [gauge], gauge.stopS);
    // 0.2 x 50, 0.6 x 0.1 and 0.2.
    const probability = 10 / 10.26;
    expect(state.all[0]).toMatchObject({ fault: 'precharge-low' });
    expect(state.all[0]!.probability).toBeCloseTo(probability, 12);
    takeTests(state, [gauge], gauge.stopS + 60);
    raise(state, sign(gauge.stopS + 3600));
    expect(state.all.length).toBe(1);
    expect(state.all[0]!.probability).toBeCloseTo(probability, 12);
    expect(state.all[0]!.history.map(({ fault }) => fault)).toEqual([
      'tank-waterlogged',
      'precharge-low',
    ]);
    expect(state.all[0]!.testEvidence.length).toBe(1);
    clear(state, 'tank-waterlogged', gauge.stopS + 7200);
    expect(state.all[0]!.clearedS).toBe(gauge.stopS + 7200);
  });
  it('that began after it is not touched', () => {
    const state = createFindings();
    takeTests(state, [gauge], gauge.stopS);
    raise(state, sign(gauge.stopS + 1));
    expect(state.all[0]).toMatchObject({ fault: 'tank-waterlogged', probability: 0.6 });
  });
});
