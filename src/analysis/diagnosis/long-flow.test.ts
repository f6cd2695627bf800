import { describe, expect, it } from 'vitest';
import { createFindings } from './findings.ts';
import { createLongFlow, watchLongFlow } from './long-flow.ts';

const HOUR_S = 3600;
const DAY_S = 86_400;

/** Water flows from each of these moments on, for so long, a row a minute; else it stands still. */
function house(
  flows: readonly [fromS: number, s: number][],
  days: number,
  { knownUse = false, heardS }: { knownUse?: boolean; heardS?: number } = {},
) {
  const state = createLongFlow();
  const findings = createFindings();
  let stillS = 0;
  for (let timeS = 0; timeS < days * DAY_S; timeS += 60) {
    if (!flows.some(([fromS, s]) => timeS > fromS && timeS <= fromS + s)) stillS = timeS;
    watchLongFlow(state, findings, { timeS, stillS, heardS: heardS ?? NaN, knownUse });
  }
  return findings.all.map(({ fault, raisedS, clearedS, instead }) => ({
    fault,
    raisedS,
    clearedS,
    instead: instead[0]?.fault,
  }));
}

// Handbook A6: steady demand for more than an hour asks for a look.
describe('water that goes on flowing', () => {
  it('is told after an hour, as what may be a burst pipe, and is over when it stands', () => {
    expect(house([[5 * HOUR_S, 3 * HOUR_S]], 1)).toEqual([
      {
        fault: 'heavy-use',
        raisedS: 6 * HOUR_S,
        clearedS: 8 * HOUR_S + 60,
        instead: 'leak-burst',
      },
    ]);
  });
  it('is no news for less than an hour, nor where it was written down', () => {
    expect(house([[5 * HOUR_S, HOUR_S - 60]], 1)).toEqual([]);
    expect(house([[5 * HOUR_S, 3 * HOUR_S]], 1, { knownUse: true })).toEqual([]);
  });
  it('is no news where the house has done it before, unless it goes on for longer', () => {
    const lawn = (day: number, s: number): [number, number] => [day * DAY_S + 5 * HOUR_S, s];
    const told = house([lawn(0, 2 * HOUR_S), lawn(3, 2 * HOUR_S), lawn(7, 4 * HOUR_S)], 9);
    expect(told.map(({ raisedS }) => raisedS)).toEqual([
      6 * HOUR_S,
      7 * DAY_S + 5 * HOUR_S + 1.25 * 2 * HOUR_S,
    ]);
  });
  it('of which a silence hid the end is no habit', () => {
    const lawn = (day: number): [number, number] => [day * DAY_S + 5 * HOUR_S, 2 * HOUR_S];
    const heardS = 7 * HOUR_S + 60;
    expect(house([lawn(0), lawn(3)], 4)).toHaveLength(1);
    expect(house([lawn(0), lawn(3)], 4, { heardS })).toHaveLength(2);
  });
});
