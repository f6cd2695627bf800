import { describe, expect, it } from 'vitest';
import { outcomeOf, type TrueFault } from './outcome.ts';
import type { Said } from './said.ts';

const truth = (more: Partial<TrueFault> = {}): TrueFault => ({
  name: 'pump-worn',
  severity: 1,
  onsetS: 1000,
  endS: null,
  seenS: 2000,
  level: 'first',
  group: [],
  ...more,
});

let told = 0;
const said = (fault: string, probability: number, more: Partial<Said> = {}): Said => {
  const raisedS = more.raisedS ?? 3000;
  return {
    id: `f${++told}`,
    urgency: 'weeks',
    raisedS,
    closedS: Number.POSITIVE_INFINITY,
    replacedBy: null,
    history: [{ atS: raisedS, fault, probability }],
    instead: [],
    ...more,
  };
};

const judge = (
  faults: TrueFault[],
  all: Said[],
  also: Parameters<typeof outcomeOf>[0]['also'] = [],
) => outcomeOf({ faults, also, said: all, untilS: 100_000 });
const one = (fault: TrueFault, ...all: Said[]) => judge([fault], all).faults[0]!;

describe('a fault that can be named first', () => {
  it('is right only when it stands on top', () => {
    expect(one(truth(), said('pump-worn', 0.8))).toMatchObject({
      first: true,
      right: true,
      named: true,
      top: 'pump-worn',
      delayFromOnsetS: 2000,
      delayFromSeenS: 1000,
    });
    const under = one(truth(), said('pump-worn', 0.4), said('intake-clogged', 0.6));
    expect(under).toMatchObject({ first: false, right: false, named: true, top: 'intake-clogged' });
  });
  it('is not right as the other one of a finding, but named', () => {
    const beside = said('intake-clogged', 0.7, {
      instead: [{ fault: 'pump-worn', probability: 0.2 }],
    });
    expect(one(truth(), beside)).toMatchObject({ right: false, named: true });
  });
  it('is not named by less than one in twenty', () => {
    const hardly = said('intake-clogged', 0.96, {
      instead: [{ fault: 'pump-worn', probability: 0.04 }],
    });
    expect(one(truth(), hardly).named).toBe(false);
  });
  it('counts a note behind all else, however sure', () => {
    const note = said('heavy-use', 0.99, { urgency: 'note' });
    expect(one(truth(), note, said('pump-worn', 0.6)).first).toBe(true);
  });
  it('counts what was believed at the end, not what was believed first', () => {
    const turned = said('intake-clogged', 0, {
      history: [
        { atS: 3000, fault: 'intake-clogged', probability: 0.6 },
        { atS: 9000, fault: 'pump-worn', probability: 0.8 },
      ],
    });
    expect(one(truth(), turned)).toMatchObject({ first: true, delayFromOnsetS: 8000 });
  });
  it('that nothing tells of is told by nothing', () => {
    expect(one(truth())).toMatchObject({
      right: false,
      named: false,
      top: null,
      delayFromOnsetS: null,
      delayFromSeenS: null,
    });
  });
  it('is not told by what was cleared before it came', () => {
    const before = said('pump-worn', 0.9, { raisedS: 100, closedS: 500 });
    expect(one(truth(), before)).toMatchObject({ first: false, named: false });
  });
});

describe('a fault of a pair', () => {
  const fault = truth({ level: 'pair', group: ['intake-clogged'] });
  it('is right as one of it when it is named too', () => {
    const both = said('intake-clogged', 0.6, {
      instead: [{ fault: 'pump-worn', probability: 0.3 }],
    });
    expect(one(fault, both)).toMatchObject({ first: false, right: true, delayFromOnsetS: 2000 });
  });
  it('is wrong when the other is said alone, or one outside of it', () => {
    expect(one(fault, said('intake-clogged', 0.9)).right).toBe(false);
    const outside = said('valve-part-shut', 0.6, {
      instead: [{ fault: 'pump-worn', probability: 0.3 }],
    });
    expect(one(fault, outside).right).toBe(false);
  });
});

describe('a fault that cannot be judged', () => {
  const fault = truth({ level: 'not-judgeable' });
  it('is right when nothing is guessed', () => {
    expect(one(fault).right).toBe(true);
    expect(one(fault, said('switch-drift', 0.4)).right).toBe(true);
    expect(one(fault, said('unknown-trouble', 0.9)).right).toBe(true);
  });
  it('is wrong when something else is', () => {
    expect(one(fault, said('switch-drift', 0.6)).right).toBe(false);
  });
  it('may be told by its odds', () => {
    const odds = said('switch-drift', 0.6, { instead: [{ fault: 'pump-worn', probability: 0.3 }] });
    expect(one(fault, odds).right).toBe(true);
  });
});

describe('a fault that passes', () => {
  const fault = truth({ name: 'power-out', endS: 5000 });
  it('is told though its finding was cleared when it passed', () => {
    const cleared = said('power-out', 0.8, { closedS: 5010 });
    const later = said('leak-house', 0.9, { raisedS: 50_000 });
    expect(one(fault, cleared, later).first).toBe(true);
  });
  it('is told by what is cleared at once', () => {
    expect(one(fault, said('power-out', 0.8, { closedS: 3000 })).first).toBe(true);
  });
});

describe('what is said besides', () => {
  it('counts consequences and mistakes, not the fault nor what came before', () => {
    const { besides, early } = judge(
      [truth()],
      [
        said('pump-worn', 0.8),
        said('cut-out-unreachable', 0.6, { urgency: 'today' }),
        said('leak-house', 0.7, { raisedS: 500, closedS: 600 }),
      ],
    );
    expect(besides).toEqual([{ urgency: 'today', fault: 'cut-out-unreachable', probability: 0.6 }]);
    expect(early.map((e) => e.fault)).toEqual(['leak-house']);
  });
  it('forgives what the right word replaced', () => {
    const right = said('pump-worn', 0.9, { raisedS: 9000 });
    const wrong = said('leak-house', 0.6, { replacedBy: right.id, closedS: 9000 });
    expect(judge([truth()], [wrong, right]).besides).toEqual([]);
  });
  it('forgives what was so: a gap in the log, but not at another time', () => {
    const also = [{ fault: 'data-gap' as const, fromS: 2000, toS: 4000 }];
    const gap = (raisedS: number) => said('data-gap', 0.7, { raisedS, urgency: 'note' });
    expect(judge([truth()], [gap(3000)], also).besides).toEqual([]);
    expect(judge([truth()], [gap(5000)], also).besides).toHaveLength(1);
    const isIt = truth({ name: 'data-gap' });
    expect(judge([isIt], [gap(3000)], also).faults[0]!.first).toBe(true);
  });
  it('of two faults at once is neither of them', () => {
    const other = truth({ name: 'leak-house' });
    const { faults, besides } = judge(
      [truth(), other],
      [said('pump-worn', 0.6), said('leak-house', 0.9)],
    );
    expect(faults.map((f) => f.first)).toEqual([true, true]);
    expect(besides).toEqual([]);
  });
});
