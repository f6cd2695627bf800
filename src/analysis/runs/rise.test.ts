import { describe, expect, it } from 'vitest';
import { breakRise, createRise, type Rise, stepRise } from './rise.ts';

const PSI = 6894.757;

/** Times at which a rise began and ended in pressures [s, psi]. */
function follow(points: [number, number][]): { began: Rise[]; ended: Rise[] } {
  const rise = createRise();
  const out = { began: [] as Rise[], ended: [] as Rise[] };
  for (const [timeS, psi] of points) {
    const change = stepRise(rise, timeS, psi * PSI, 0.06 * PSI);
    if (change !== null) out[change].push({ ...rise });
  }
  return out;
}

const ramp = (fromS: number, toS: number, from: number, to: number, stepS: number) =>
  Array.from({ length: Math.floor((toS - fromS) / stepS) }, (_, i): [number, number] => [
    fromS + i * stepS,
    from + ((to - from) * i * stepS) / (toS - fromS),
  ]);

describe('a rise of pressure', () => {
  it('is a fill from its lowest to its highest point', () => {
    const { began, ended } = follow([
      ...ramp(0, 300, 50, 40, 5),
      ...ramp(300, 370, 40, 60, 1),
      ...ramp(370, 500, 60, 56, 5),
    ]);
    expect(began.length).toBe(1);
    expect(ended.length).toBe(1);
    expect(began[0]!.lowestS).toBe(300);
    expect(began[0]!.beforeLowestS).toBe(295);
    expect(ended[0]!.highestS).toBe(370);
    expect(ended[0]!.afterHighestS).toBeGreaterThan(370);
  });

  it('of up to 2 psi is the gas warming after a quick draw, and no run', () => {
    const points = [
      ...ramp(0, 60, 58, 45, 2),
      ...ramp(60, 200, 45, 47, 5),
      ...ramp(200, 900, 47, 47, 5),
    ];
    expect(follow(points).began).toEqual([]);
  });

  it('over a day is a warming room, and no run', () => {
    expect(follow(ramp(0, 86_400, 45, 52, 30)).began).toEqual([]);
  });

  it('in three seconds is the fill of a waterlogged tank', () => {
    const { began, ended } = follow([
      ...ramp(0, 60, 50, 40, 1),
      [61, 46],
      [62, 53],
      [63, 60],
      [64, 59],
      [65, 58],
    ]);
    expect(began.length).toBe(1);
    expect(began[0]!.lowestS).toBe(59);
    expect(ended[0]!.highestS).toBe(63);
  });

  it('between two readings a minute apart is seen, and bounded by them', () => {
    const { began, ended } = follow([
      [0, 42],
      [60, 41],
      [120, 58],
      [180, 56],
      [240, 55.8],
    ]);
    expect(began.length).toBe(1);
    expect([began[0]!.lowestS, began[0]!.beforeLowestS]).toEqual([60, 0]);
    expect(ended[0]!.highestS).toBe(120);
    expect(ended[0]!.afterHighestS).toBe(180);
  });

  it('ends where pressure stands still for a minute', () => {
    const { ended } = follow([...ramp(0, 60, 41, 55, 1), ...ramp(60, 200, 55, 55, 1)]);
    expect(ended.length).toBe(1);
    expect(ended[0]!.highestS).toBeLessThanOrEqual(62);
  });

  it('forgets its lowest point at a gap', () => {
    const rise = createRise();
    stepRise(rise, 0, 40 * PSI, 400);
    breakRise(rise);
    expect(stepRise(rise, 10_000, 58 * PSI, 400)).toBeNull();
    expect(rise.rising).toBe(false);
  });

  it('needs more where noise is greater', () => {
    const rise = createRise();
    stepRise(rise, 0, 40 * PSI, PSI);
    expect(stepRise(rise, 5, 45 * PSI, PSI)).toBeNull();
    expect(stepRise(rise, 6, 48.1 * PSI, PSI)).toBe('began');
  });
});
