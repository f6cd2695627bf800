import { describe, expect, it } from 'vitest';
import { FAULT_NAMES } from '../model/faults.ts';
import { explains, hides, rootOf } from './roots.ts';

describe('roots', () => {
  it('explain no root of their own: nobody is kept quiet in a ring', () => {
    for (const a of FAULT_NAMES)
      for (const b of FAULT_NAMES)
        if (explains(a, b)) expect(explains(b, a), `${a} and ${b}`).toBe(false);
  });
  it('of pressure hide what needs pressure, and nothing that the current tells alone', () => {
    for (const fault of ['leak-burst', 'running-dry', 'tank-waterlogged'] as const)
      expect(hides('pressure-wire-open', fault)).toBe(true);
    for (const fault of ['rotor-locked', 'voltage-low', 'power-out'] as const)
      expect(hides('pressure-wire-open', fault)).toBe(false);
  });
  it('that stand still blind by their channel', () => {
    const stuck = (unit: string) =>
      rootOf('adc-stuck', [
        {
          says: 'repeats one value',
          observed: 5,
          expected: null,
          expectedStd: null,
          unit,
          moves: null,
        } as never,
      ]);
    expect(hides(stuck('Pa'), 'switch-welded')).toBe(true);
    expect(hides(stuck('A'), 'tank-waterlogged')).toBe(false);
    expect(hides(stuck('A'), 'rotor-locked')).toBe(true);
    expect(rootOf('adc-stuck', [])).toBe('adc-stuck');
  });
  it('of current leave in sight what pressure tells alone', () => {
    expect(hides('current-clamp-off', 'rotor-locked')).toBe(true);
    expect(hides('current-clamp-off', 'tank-waterlogged')).toBe(false);
    expect(hides('leak-burst', 'running-dry')).toBe(false);
  });
});
