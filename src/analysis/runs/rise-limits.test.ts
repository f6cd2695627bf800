import { describe, expect, it } from 'vitest';
import { breakRise, createRise, type Rise, type RiseChange, stepRise } from './rise.ts';

const PSI = 6894.757;
const QUIET_PSI = 0.01;

/** The rise after the points [s, psi], and what the last of them said. */
function upTo(points: [number, number][], noisePsi = QUIET_PSI) {
  const rise = createRise();
  let change: RiseChange = null;
  for (const [timeS, psi] of points) change = stepRise(rise, timeS, psi * PSI, noisePsi * PSI);
  return { rise, change };
}

describe('a rise begins', () => {
  it.each([
    [QUIET_PSI, 2.95, null],
    [QUIET_PSI, 3.05, 'began'],
    [0.5, 3.9, null],
    [0.5, 4.1, 'began'],
  ])('with noise of %d psi: at %d psi above the lowest it says %s', (noisePsi, rise, said) => {
    const points: [number, number][] = [
      [0, 41],
      [5, 40],
      [10, 40 + rise],
    ];
    expect(upTo(points, noisePsi).change).toBe(said);
  });

  it('if it took 15 minutes, not if it took longer', () => {
    const lowest: [number, number] = [10, 40];
    expect(upTo([[0, 41], lowest, [910, 44]]).change).toBe('began');
    const slow = upTo([[0, 41], lowest, [911, 44]]);
    expect(slow.change).toBeNull();
    expect(slow.rise.lowestS).toBe(911);
    expect(slow.rise.beforeLowestS).toBe(10);
    expect(slow.rise.lastLowS).toBe(911);
  });

  it('at the last of several lowest readings', () => {
    const { rise } = upTo([
      [0, 40],
      [5, 40],
      [10, 40],
      [15, 44],
    ]);
    expect([rise.beforeLowestS, rise.lowestS]).toEqual([5, 10]);
  });

  it('where pressure was last within 0.4 psi, or five times the noise, of the lowest', () => {
    const points: [number, number][] = [
      [0, 40],
      [5, 40.35],
      [10, 41],
      [15, 40.35],
      [20, 40.45],
    ];
    expect(upTo([...points, [25, 44]]).rise).toMatchObject({ lastLowS: 15, afterLowS: 20 });
    const coarse = upTo([...points, [25, 40.95], [30, 41.05], [35, 46]], 0.2).rise;
    expect(coarse).toMatchObject({ lowestS: 0, lastLowS: 25, afterLowS: 30 });
    expect(
      upTo([
        [0, 40],
        [5, 44],
      ]).rise,
    ).toMatchObject({ lastLowS: 0, afterLowS: 5 });
  });
});

describe('a rise ends', () => {
  const risen: [number, number][] = [
    [0, 40],
    [10, 50],
  ];

  it.each([
    [QUIET_PSI, 0.55, null],
    [QUIET_PSI, 0.65, 'ended'],
    [0.2, 0.95, null],
    [0.2, 1.05, 'ended'],
  ])('with noise of %d psi: %d psi below the highest it says %s', (noisePsi, fall, said) => {
    expect(upTo([...risen, [11, 50 - fall]], noisePsi).change).toBe(said);
  });

  it('a minute after its highest, and no sooner', () => {
    expect(upTo([...risen, [69, 50]]).change).toBeNull();
    expect(upTo([...risen, [70, 50]]).change).toBe('ended');
  });

  it('at the first of several highest readings, before the reading after it', () => {
    const { rise } = upTo([...risen, [15, 50], [20, 49.9], [25, 49]]);
    expect([rise.highestS, rise.afterHighestS]).toEqual([10, 15]);
  });

  it('at the highest, though it sank a little on the way', () => {
    const { rise } = upTo([...risen, [15, 49.8], [20, 51], [25, 50.9], [30, 50]]);
    expect([rise.highestS, rise.afterHighestS]).toEqual([20, 25]);
    expect(rise.highestPa).toBeCloseTo(51 * PSI, 6);
  });

  it('where the next may begin', () => {
    const { rise } = upTo([...risen, [20, 50], [30, 48]]);
    expect(rise).toMatchObject({
      rising: false,
      lowestS: 30,
      beforeLowestS: 20,
      lastLowS: 30,
      afterLowS: NaN,
    });
    expect(rise.lowestPa).toBeCloseTo(48 * PSI, 6);
    expect(stepRise(rise, 40, 51.1 * PSI, 1)).toBe('began');
    // What the rise before left of its highest is gone.
    expect([rise.highestS, rise.afterHighestS]).toEqual([40, NaN]);
  });
});

it('forgets all of it at a break', () => {
  const { rise } = upTo([
    [0, 40],
    [5, 50],
    [10, 49.9],
  ]);
  breakRise(rise);
  expect(rise).toEqual<Rise>(createRise());
  expect(stepRise(rise, 100, 70 * PSI, 1)).toBeNull();
  expect([rise.beforeLowestS, rise.lowestS]).toEqual([NaN, 100]);
});
