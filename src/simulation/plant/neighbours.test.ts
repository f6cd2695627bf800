import { describe, expect, it } from 'vitest';
import type { AquiferDesign } from './aquifer.ts';
import { Neighbours, type NeighbourWell } from './neighbours.ts';

const AQUIFER: AquiferDesign = {
  transmissivityM2PerS: 2e-4,
  storativity: 1e-4,
  boreRadiusM: 0.08,
  rechargeRadiusM: 250,
  shells: 12,
  casingAreaM2: 0.018,
  skinSPerM2: 1e3,
  turbulenceS2PerM5: 1e6,
};
const START_S = Date.UTC(2026, 5, 1) / 1000;
const FROM = { startS: START_S, offsetS: 0 };
const always = (distanceM: number): NeighbourWell => ({
  distanceM,
  flowM3PerS: 6e-4,
  fromHour: 0,
  toHour: 24,
});
const HOUR_S = 3600;

describe('neighbours', () => {
  it.each([15, 60, 200])('draw down, in the end, as Thiem has it %d m away', (distanceM) => {
    const seen = new Neighbours([always(distanceM)], AQUIFER, FROM).at(START_S + 20 * 24 * HOUR_S);
    // G. Thiem 1906: s = Q / (2 pi T) ln(R / r).
    const thiem = (6e-4 / (2 * Math.PI * 2e-4)) * Math.log(250 / distanceM);
    expect(Math.abs(seen / thiem - 1)).toBeLessThan(0.005);
  });
  it('add up', () => {
    const at = START_S + 8 * HOUR_S;
    const of = (wells: NeighbourWell[]) => new Neighbours(wells, AQUIFER, FROM).at(at);
    const apart = of([always(40)]) + of([always(90)]);
    expect(apart).toBeGreaterThan(0.5);
    expect(of([always(40), always(90)])).toBeCloseTo(apart, 12);
  });
  it('are felt after they begin, and less and less after they end', () => {
    const well = { ...always(60), fromHour: 6, toHour: 9 };
    const seen = new Neighbours([well], AQUIFER, FROM);
    const hours = [5.9, 6.5, 8.9, 10, 12, 23].map((h) => seen.at(START_S + h * HOUR_S));
    expect(hours[0]).toBe(0);
    expect(hours[1]).toBeGreaterThan(0.05);
    expect(hours[2]).toBeGreaterThan(hours[1]!);
    expect(hours[3]).toBeLessThan(0.6 * hours[2]!);
    expect(hours[4]).toBeLessThan(hours[3]!);
    expect(hours[5]).toBeLessThan(0.05 * hours[2]!);
  });
  it('take nothing where there are none, or beyond where recharge holds', () => {
    const at = START_S + 9 * HOUR_S;
    expect(new Neighbours([], AQUIFER, FROM).at(at)).toBe(0);
    expect(new Neighbours([always(400)], AQUIFER, FROM).at(at)).toBe(0);
  });
});
