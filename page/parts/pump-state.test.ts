import { describe, expect, it } from 'vitest';
import type { WellNow } from '../../src/model/well-now.ts';
import { pumpSentence, pumpState } from './pump-state.ts';

describe('the state of the pump', () => {
  const now = (on: boolean | null) => ({ pump: { on, since: null } }) as WellNow;
  it('is on, off, or not known: without a current and a pressure nothing is claimed', () => {
    expect([true, false, null].map((on) => pumpState(now(on)))).toEqual([
      'pump on',
      'pump off',
      'pump: not known',
    ]);
    expect([true, false, null].map((on) => pumpSentence(now(on)))).toEqual([
      'The pump is on.',
      'The pump is off.',
      'Whether the pump is on is not known.',
    ]);
  });
});
