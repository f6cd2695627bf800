import { describe, expect, it } from 'vitest';
import {
  createDrawdown,
  type Drawdown,
  drawdownInRun,
  learnDrawdown,
  reopenEdges,
} from './drawdown.ts';
import { anyWells } from './supposed-wells.ts';
import { isWellTold, recoveryTime, specificCapacity, toldDrawdown } from './told-level.ts';

const GPM = 6.30901964e-5;
const FOOT = 0.3048;
/** Casing of 6 inches: 1.47 gallons a foot (trade press: 1.5). */
const CASING_M2 = (1.47 * 0.003785411784) / FOOT;
/** Delivery falls by a tenth for 4 psi or 9.2 ft of lift; x counts half bands of 10 psi. */
const SLOPE = -0.25;
const X_PER_M = 1 / (23.1 * FOOT);

/** What the nameplate says of delivery; half the band is 10 psi. */
const PLATE = { slope: SLOPE / 1.5, halfBandPa: 68_948 };

const pumping = {
  flowM3PerS: 10 * GPM,
  m3PerUnit: 60 * GPM,
  xPerM: X_PER_M,
  sound: true,
  tankFactor: 1,
  teaches: true,
  curve: { slope: SLOPE / 1.5, bend: 0 },
};

/**
 * Runs of one to sixteen minutes, a minute to two hours apart, of a well that is a casing with
 * inflow in proportion to drawdown, stepped here second by second. The pump is steeper by
 * half than its nameplate says, and each edge reads wrong by a percent or so.
 * Gravel or rock near it may store more than the casing does.
 */
function learnt(
  gpmPerFt: number,
  pairs: number,
  storage = 1,
): {
  state: Drawdown;
  deepestM: number;
  supposedM: number[];
} {
  const state = createDrawdown(anyWells(CASING_M2, 0.05), 0.05, Infinity);
  const capacity = (gpmPerFt * GPM) / FOOT;
  const areaM2 = storage * CASING_M2;
  let drawdownM = 0;
  let deepestM = 0;
  let supposedM: number[] = [];
  const gpm = (x: number): number => 10 * (1 + SLOPE * (x + X_PER_M * drawdownM));
  const edge = (x: number, atS: number, k: number) => {
    return { perMin: gpm(x) * (1 + 0.01 * Math.sin(12.9898 * k)), std: 0.1, x, atS };
  };
  for (let k = 0, timeS = 0; k < 2 * pairs; k++) {
    const startS = timeS;
    const atStart = edge(-0.9, startS, 2 * k);
    const lengthS = Math.round(60 + 900 * (0.5 + 0.5 * Math.sin(7 * k)) ** 2);
    const restS = Math.round(60 + 7200 * (0.5 + 0.5 * Math.sin(11 * k + 1)) ** 3);
    for (let s = 0; s < lengthS; s++, timeS++)
      drawdownM += (gpm(-0.9 + (1.8 * s) / lengthS) * GPM - capacity * drawdownM) / areaM2;
    deepestM = Math.max(deepestM, drawdownM);
    const atStop = edge(0.9, timeS, 2 * k + 1);
    const run = { ...pumping, startS, stopS: timeS, atStart, atStop };
    supposedM = learnDrawdown(state, run).map((m, j) => Math.max(m, supposedM[j] ?? 0));
    for (let s = 0; s < restS; s++, timeS++) drawdownM -= (capacity * drawdownM) / areaM2;
  }
  return { state, deepestM, supposedM };
}

describe('drawdown', () => {
  // 20 gpm with 40 ft of drawdown is 0.5 gpm/ft (groundwater primers print this example).
  it.each([0.05, 0.1, 0.5])('of a well of %d gpm/ft gives its capacity', (gpmPerFt) => {
    const { value, std } = specificCapacity(learnt(gpmPerFt, 60).state);
    expect(Math.abs(value / (GPM / FOOT) - gpmPerFt)).toBeLessThan((1.96 * std) / (GPM / FOOT));
    expect(std / value).toBeLessThan(0.5);
  });

  it.each([0.05, 0.1, 0.5, 1, 2, 5, 20])('of a well of %d gpm/ft is held', (gpmPerFt) => {
    const { state, deepestM, supposedM } = learnt(gpmPerFt, 60);
    const { value, std } = toldDrawdown(state, supposedM, PLATE);
    expect(Math.abs(value - deepestM)).toBeLessThan(1.96 * std);
    // More than 15 ft is told to a third; a foot or so is not told from none.
    if (deepestM > 15 * FOOT) expect(std).toBeLessThan(0.35 * value);
    if (deepestM < FOOT) expect(std).toBeGreaterThan(0.5 * value);
  });

  it('recovers by two thirds in casing over capacity, as it says itself', () => {
    const { value, std } = recoveryTime(learnt(0.5, 60).state);
    expect(Math.abs(value - (1.47 / 0.5) * 60)).toBeLessThan(1.96 * std);
  });

  it.each([3, 8])('is held where the ground stores %d times the casing', (storage) => {
    const { state, deepestM, supposedM } = learnt(0.1, 60, storage);
    const level = toldDrawdown(state, supposedM, PLATE);
    expect(Math.abs(level.value - deepestM)).toBeLessThan(1.96 * level.std);
    const time = recoveryTime(state);
    const truthS = (storage * 1.47 * 60) / 0.1;
    expect(Math.abs(time.value - truthS)).toBeLessThan(1.96 * time.std);
    expect(isWellTold(state)).toBe(true);
  });

  it('is not told from any well before a run, nor by edges that no well explains', () => {
    const state = createDrawdown(anyWells(CASING_M2, 0.05), 0.05, Infinity);
    expect(isWellTold(state)).toBe(false);
    const { state: known } = learnt(0.1, 60);
    expect(isWellTold(known)).toBe(true);
    expect(isWellTold({ ...known, scatter: [1, 6] })).toBe(false);
  });

  it('does not learn of the well from edges of a tank that changes', () => {
    const state = createDrawdown(anyWells(CASING_M2, 0.05), 0.05, Infinity);
    const edge = (perMin: number, atS: number) => ({ perMin, std: 0.1, x: 0, atS });
    for (let k = 0; k < 40; k++) {
      const startS = 3600 * k;
      const [atStart, atStop] = [edge(10, startS), edge(6 + (k % 3), startS + 600)];
      const run = { ...pumping, startS, stopS: startS + 600, atStart, atStop, teaches: false };
      learnDrawdown(state, run);
    }
    expect(state.cost.every((cost) => cost === 0)).toBe(true);
  });

  it('keeps what it knows of the well when the pump or the tank is another', () => {
    const { state } = learnt(0.1, 60);
    const before = specificCapacity(state);
    reopenEdges(state);
    expect(specificCapacity(state)).toEqual(before);
  });

  it('is less after a rest than right after a run, and never below the intake', () => {
    const state = createDrawdown(anyWells(CASING_M2, 0.05), 0.05, 4);
    const plain = { atStart: null, atStop: null };
    const levels = learnDrawdown(state, { ...pumping, startS: 0, stopS: 7200, ...plain });
    expect(Math.max(...levels)).toBeLessThanOrEqual(4);
    // Without an edge nothing is known but the form: any capacity may be the well's.
    const { value, std } = toldDrawdown(state, levels, PLATE);
    expect(std).toBeGreaterThan(0.5 * value);
    const soon = drawdownInRun(state, 7210, pumping)(0);
    const later = drawdownInRun(state, 7210 + 3600, pumping)(0);
    expect(soon).toBeGreaterThan(later);
    expect(drawdownInRun(state, 7210, pumping)(1e5)).toBeLessThanOrEqual(4);
  });
});
