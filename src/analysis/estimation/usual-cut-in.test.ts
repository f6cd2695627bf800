import { describe, expect, it } from 'vitest';
import { PSI_PA } from '../../units/table.ts';
import { createUsualCutIn, noteCutIn, startsBy } from './usual-cut-in.ts';

/** A switch that has closed at these, psi. */
function closedAt(cutIns: number[], ended = 'cut-out') {
  const state = createUsualCutIn();
  for (const psi of cutIns) noteCutIn(state, { begun: 'cut-in', ended, cutIn: psi * PSI_PA });
  return state;
}
const byPsi = (state: ReturnType<typeof closedAt>) => startsBy(state) / PSI_PA;

describe('where a switch closes at the latest', () => {
  it('is known from five starts on, and more closely from more', () => {
    expect(byPsi(closedAt([40, 40.2, 39.8, 40]))).toBeNaN();
    const five = byPsi(closedAt([40, 40.2, 39.8, 40.1, 39.9]));
    const twenty = byPsi(closedAt(Array.from({ length: 20 }, (_, i) => 40 + 0.2 * ((i % 3) - 1))));
    expect(five).toBeGreaterThan(38.5);
    expect(twenty).toBeGreaterThan(five);
    expect(twenty).toBeLessThan(39.7);
  });

  it('lies below every start of one that scatters, and follows one that was set anew', () => {
    const wide = [41, 39, 40.5, 39.3, 40, 41.2, 38.8, 40.1];
    expect(byPsi(closedAt(wide))).toBeLessThan(38.8 - 1);
    const anew = closedAt([...Array(20).fill(40), ...Array(20).fill(30)]);
    expect(byPsi(anew)).toBeCloseTo(29.2, 0);
  });

  it('is not known while the motor may wait for its protector, nor from other starts', () => {
    const state = closedAt([40, 40, 40, 40, 40, 40]);
    noteCutIn(state, { begun: 'other', ended: 'tripped', cutIn: 52 * PSI_PA });
    expect(byPsi(state)).toBeNaN();
    noteCutIn(state, { begun: 'cut-in', ended: 'cut-out', cutIn: NaN });
    expect(byPsi(state)).toBeCloseTo(39, 0);
  });
});
