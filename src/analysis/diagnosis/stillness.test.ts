import { describe, expect, it } from 'vitest';
import { breakStretch, createStillness, hearStillness, stepStillness } from './stillness.ts';

/** Ten units a minute from the pump; the tank gives `perMin`, a reading every 15 s. */
function rest(
  state: ReturnType<typeof createStillness>,
  fromS: number,
  toS: number,
  perMin: number,
) {
  for (let timeS = fromS; timeS <= toS; timeS += 15)
    stepStillness(state, { timeS, volume: (perMin * timeS) / 60 }, 10);
}

describe('stillness', () => {
  it('is a minute of rest in which the tank gives little', () => {
    const state = createStillness();
    rest(state, 0, 600, 0.5);
    expect(state.stillS).toBe(600);
  });
  it('does not come while the tank gives an eighth of what the pump brings, or more', () => {
    const state = createStillness();
    rest(state, 0, 600, 0);
    rest(state, 615, 7200, 2);
    expect(state.stillS).toBe(600);
  });
  it('takes no stretch over a start of the pump', () => {
    const state = createStillness();
    rest(state, 0, 60, 0);
    for (let fromS = 75; fromS < 3000; fromS += 60) {
      breakStretch(state);
      rest(state, fromS, fromS + 45, 0);
    }
    expect(state.stillS).toBe(60);
  });
  it('is not denied by a silence of which nothing is known', () => {
    const state = createStillness();
    rest(state, 0, 600, 0);
    hearStillness(state, 600);
    hearStillness(state, 9000);
    expect(state.stillS).toBe(9000);
  });
});
