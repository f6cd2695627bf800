import { describe, expect, it } from 'vitest';
import type { Chance } from './chances.ts';
import { withLookAlikes } from './look-alikes.ts';
import type { Deviations } from './odds.ts';

const odds = (list: [Chance['fault'], number][]): Chance[] =>
  list.map(([fault, probability]) => ({ fault, probability }));
const share = (list: readonly Chance[], fault: Chance['fault']): number =>
  list.find((one) => one.fault === fault)!.probability;
const MAINS: Deviations = { mains: { value: 0, std: 0.01 } };

describe('odds with look-alikes', () => {
  it('do not rule out what looks the same as the first, and add up to 1', () => {
    const told = withLookAlikes(
      odds([
        ['switch-drift', 0.99],
        ['leak-house', 0.009],
        ['switch-nipple-plugged', 0.001],
      ]),
      {},
    );
    expect(told.map(({ fault }) => fault)).toEqual([
      'switch-drift',
      'switch-nipple-plugged',
      'leak-house',
    ]);
    expect(share(told, 'switch-nipple-plugged') / share(told, 'switch-drift')).toBeCloseTo(0.12, 9);
    expect(told.reduce((sum, { probability }) => sum + probability, 0)).toBeCloseTo(1, 12);
  });

  it('see likeness from either side', () => {
    // A burst pipe may be a parted drop pipe, whose own row says so.
    const list = odds([
      ['leak-burst', 0.99],
      ['drop-pipe-parted', 0.001],
    ]);
    expect(share(withLookAlikes(list, {}), 'drop-pipe-parted')).toBeGreaterThan(0.1);
  });

  it('leave what is likely enough, what is unlike, and what cannot be', () => {
    const list = odds([
      ['voltage-low', 0.6],
      ['run-capacitor-weak', 0.3],
      ['leak-house', 0.1],
    ]);
    expect(share(withLookAlikes(list, {}), 'leak-house')).toBeCloseTo(0.1, 12);
    expect(share(withLookAlikes(list, {}), 'run-capacitor-weak')).toBeCloseTo(0.3, 12);
    const impossible = odds([
      ['voltage-low', 0.6],
      ['leak-house', 0.4],
      ['run-capacitor-weak', 0],
    ]);
    expect(share(withLookAlikes(impossible, {}), 'run-capacitor-weak')).toBe(0);
  });

  it('believe a channel that parts two', () => {
    const list = odds([
      ['voltage-low', 0.99],
      ['run-capacitor-weak', 0.01],
    ]);
    expect(share(withLookAlikes(list, {}), 'run-capacitor-weak')).toBeGreaterThan(0.1);
    expect(share(withLookAlikes(list, MAINS), 'run-capacitor-weak')).toBeCloseTo(0.01, 12);
  });
});
