import { describe, expect, it } from 'vitest';
import { ADVICE } from '../../model/advice.ts';
import type { FaultName } from '../../model/faults.ts';
import type { Quantity } from '../../model/well.ts';
import { expectedBits, nextTest, type Situation } from './next-test.ts';

const chances = (...list: [FaultName, number][]) =>
  list.map(([fault, probability]) => ({ fault, probability }));
const quantity = (value: number): Quantity => ({ value, std: 1, source: 'measured', onS: null });

function situation(list: [FaultName, number][], more: Partial<Situation> = {}): Situation {
  const odds = chances(...list);
  const { urgency, nextTest: usual } = ADVICE[odds[0]!.fault];
  return {
    odds,
    urgency,
    usual,
    made: [],
    open: new Set(odds.filter((o) => o.probability >= 0.05).map(({ fault }) => fault)),
    restS: 5,
    runS: 1,
    equipment: { staticLevelM: quantity(30), reliefPaGauge: null, tankRatedPaGauge: null },
    hasEarlierSweep: false,
    ...more,
  };
}
const next = (...args: Parameters<typeof situation>) => nextTest(situation(...args));

const LEAK: [FaultName, number][] = [
  ['leak-house', 0.5],
  ['leak-before-house-valve', 0.23],
  ['check-valve-leak', 0.15],
  ['fixture-running', 0.1],
  ['unknown-trouble', 0.02],
];
const WORN: [FaultName, number][] = [
  ['pump-worn', 0.45],
  ['static-level-falling', 0.25],
  ['intake-clogged', 0.15],
  ['valve-part-shut', 0.13],
  ['unknown-trouble', 0.02],
];

describe('what a test is expected to tell, worked by hand', () => {
  it('is one bit of two even faults that it always shows', () => {
    const odds = chances(['leak-house', 0.5], ['check-valve-leak', 0.5]);
    const outcomes = [
      { shows: 1, faults: ['leak-house' as const] },
      { shows: 1, faults: ['check-valve-leak' as const] },
    ];
    expect(expectedBits(odds, outcomes)).toBeCloseTo(1, 12);
  });
  it('is nothing of faults that give one outcome, or none', () => {
    const odds = chances(['leak-house', 0.5], ['fixture-running', 0.5]);
    const faults = odds.map(({ fault }) => fault);
    expect(expectedBits(odds, [{ shows: 1, faults }])).toBeCloseTo(0, 12);
    expect(expectedBits(odds, [{ shows: 0.9, faults: ['pump-worn'] }])).toBeCloseTo(0, 12);
  });
  it('is the entropy before less that after: 0.8113 less 0.5177 bit', () => {
    // Seen at 1/8, else the fault is left at 1/7: 0.8113 - 7/8 x 0.5917 bit.
    const before = -0.25 * Math.log2(0.25) - 0.75 * Math.log2(0.75);
    const after = (7 / 8) * -((1 / 7) * Math.log2(1 / 7) + (6 / 7) * Math.log2(6 / 7));
    const odds = chances(['leak-house', 0.25], ['unknown-trouble', 0.75]);
    const bits = expectedBits(odds, [{ shows: 0.5, faults: ['leak-house'] }]);
    expect(bits).toBeCloseTo(before - after, 12);
    expect(bits).toBeCloseTo(0.2936, 4);
  });
});

describe('the next test', () => {
  // What the trade does first (common practice).
  it.each<[FaultName, string, [FaultName, number][]]>([
    ['leak-house', 'isolation', LEAK],
    ['pump-worn', 'sounding', WORN],
    [
      'tank-waterlogged',
      'precharge',
      [
        ['tank-waterlogged', 0.6],
        ['tank-isolated', 0.15],
        ['precharge-low', 0.12],
        ['unknown-trouble', 0.13],
      ],
    ],
    [
      'heavy-use',
      'look',
      [
        ['heavy-use', 0.6],
        ['leak-burst', 0.2],
        ['drop-pipe-parted', 0.1],
        ['unknown-trouble', 0.1],
      ],
    ],
    [
      'switch-drift',
      'look',
      [
        ['switch-drift', 0.5],
        ['pressure-drift', 0.45],
        ['unknown-trouble', 0.05],
      ],
    ],
    [
      'run-capacitor-weak',
      'electrician',
      [
        ['run-capacitor-weak', 0.5],
        ['voltage-low', 0.3],
        ['pump-dragging', 0.15],
        ['unknown-trouble', 0.05],
      ],
    ],
    [
      'level-falling-in-run',
      'sounding',
      [
        ['level-falling-in-run', 0.6],
        ['static-level-falling', 0.2],
        ['screen-clogged', 0.1],
        ['unknown-trouble', 0.1],
      ],
    ],
  ])('of %s among its look-alikes is %s', (_fault, test, odds) => {
    expect(next(odds)).toBe(test);
  });
  it('is not the one that speaks already', () => {
    expect(next(LEAK, { made: ['isolation'] })).toBe('look');
    expect(next([['precharge-low', 1]], { made: ['precharge'] })).toBeNull();
  });
  it('is the usual one where little is open, and none where none is usual', () => {
    const sure: [FaultName, number][] = [
      ['precharge-low', 0.99],
      ['unknown-trouble', 0.01],
    ];
    expect(next(sure)).toBe('precharge');
    expect(next([['clock-jump', 1]])).toBeNull();
  });
  it('is a throttle test where one of the sound pump is on record', () => {
    expect(next(WORN, { hasEarlierSweep: true })).toBe('throttle');
    // Readings every minute do not follow one.
    expect(next(WORN, { hasEarlierSweep: true, runS: 60 })).toBe('sounding');
  });
  it('is none that the readings cannot follow', () => {
    expect(next(LEAK, { restS: 120 })).toBe('look');
  });
  it('is no sounding for a level to be compared with none', () => {
    const { equipment } = situation(WORN);
    expect(next(WORN, { equipment: { ...equipment, staticLevelM: null } })).not.toBe('sounding');
  });
  it('shuts no valve where relief or switch may not guard the tank', () => {
    const { equipment } = situation(LEAK);
    const late = { reliefPaGauge: quantity(9e5), tankRatedPaGauge: quantity(7e5) };
    const early = { reliefPaGauge: quantity(5e5), tankRatedPaGauge: quantity(7e5) };
    expect(next(LEAK, { equipment: { ...equipment, ...late } })).toBe('look');
    expect(next(LEAK, { equipment: { ...equipment, ...early } })).toBe('isolation');
    expect(next(LEAK, { open: new Set(['switch-welded']) })).toBe('look');
  });
  it('works no pump that may be dry', () => {
    expect(next(WORN, { hasEarlierSweep: true, open: new Set(['running-dry']) })).toBe('sounding');
  });
  it('asks the owner for no more than a look where it cannot wait', () => {
    const burst: [FaultName, number][] = [
      ['leak-burst', 0.5],
      ['drop-pipe-parted', 0.4],
      ['unknown-trouble', 0.1],
    ];
    expect(next(burst)).toBe('look');
    expect(next(burst, { urgency: 'days' })).toBe('isolation');
  });
});
