import { describe, expect, it } from 'vitest';
import { noWaterOdds } from './no-water-odds.ts';
import { signOdds } from './plain-odds.ts';

const odds = signOdds('switch-no-start');
const at = (airK: number, mainsV: number) => noWaterOdds(odds, { airK, mainsV });
const chance = (list: typeof odds, name: string) =>
  list.find(({ fault }) => fault === name)!.probability;

describe('a house without water', () => {
  it('keeps its odds where the device tells nothing of room and supply', () => {
    expect(at(NaN, NaN)).toEqual(odds);
  });
  it('has a frozen pipe rather in a hard frost and not in a warm room', () => {
    expect(chance(at(268, NaN), 'frozen')).toBeGreaterThan(5 * chance(odds, 'frozen'));
    expect(chance(at(290, NaN), 'frozen')).toBeLessThan(0.002);
  });
  it('has no power when the supply is gone, and a dead switch when it is there', () => {
    expect(at(NaN, 3)[0]!.fault).toBe('power-out');
    expect(chance(at(NaN, 3), 'power-out')).toBeGreaterThan(0.95);
    expect(at(290, 240)[0]!.fault).toBe('switch-no-start');
    expect(chance(at(290, 240), 'power-out')).toBeLessThan(0.02);
  });
  it('has odds that add up to one', () => {
    for (const list of [at(260, 240), at(280, 0), at(300, 240)])
      expect(list.reduce((s, { probability }) => s + probability, 0)).toBeCloseTo(1, 12);
  });
});
