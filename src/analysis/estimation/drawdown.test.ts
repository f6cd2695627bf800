import { describe, expect, it } from 'vitest';
import {
  createDrawdown,
  drawdownInRun,
  learnDrawdown,
  recoveryTime,
  specificCapacity,
} from './drawdown.ts';

const GPM = 6.30901964e-5;
const FOOT = 0.3048;
/** Casing of 6 inches: 1.47 gallons a foot (trade press: 1.5). */
const CASING_M2 = (1.47 * 0.003785411784) / FOOT;
/** Delivery falls by a tenth for 9.2 ft of lift. */
const PER_M = -0.1 / (9.2 * FOOT);

/**
 * Pairs of runs ten minutes each, a minute and then four hours apart, of a well that is a casing
 * with inflow in proportion to drawdown, stepped here second by second.
 */
function learnt(gpmPerFt: number, pairs: number): ReturnType<typeof createDrawdown> {
  const state = createDrawdown(CASING_M2, 0.05, Infinity);
  const capacity = (gpmPerFt * GPM) / FOOT;
  let drawdownM = 0;
  const step = (flow: number): void => {
    drawdownM += (flow - capacity * drawdownM) / CASING_M2;
  };
  const rested = 10 * GPM;
  for (let k = 0, timeS = 0; k < 2 * pairs; k++) {
    let pumped = 0;
    const startS = timeS;
    for (let s = 0; s < 600; s++, timeS++) {
      const flow = rested * (1 + PER_M * drawdownM);
      pumped += flow;
      step(flow);
    }
    const flowM3PerS = pumped / 600;
    const believed = drawdownInRun(state, startS, flowM3PerS);
    const deviation = flowM3PerS / rested - 1 - PER_M * believed(300);
    learnDrawdown(state, { startS, stopS: timeS, flowM3PerS, perM: PER_M, deviation });
    for (let s = 0; s < (k % 2 === 0 ? 60 : 14_400); s++, timeS++) step(0);
  }
  return state;
}

describe('drawdown', () => {
  it('of a poor well is told from that of a good one', () => {
    const inGpmPerFt = (state: ReturnType<typeof createDrawdown>): number =>
      specificCapacity(state).value / (GPM / FOOT);
    const poor = inGpmPerFt(learnt(0.1, 60));
    const good = inGpmPerFt(learnt(5, 60));
    expect(poor).toBeLessThan(0.4);
    expect(good).toBeGreaterThan(0.8);
  });

  // 20 gpm with 40 ft of drawdown is 0.5 gpm/ft (groundwater primers print this example).
  it.each([0.1, 0.5, 5])('covers the true capacity of %d gpm/ft', (gpmPerFt) => {
    const { value, std } = specificCapacity(learnt(gpmPerFt, 60));
    expect(Math.abs(Math.log(value / ((gpmPerFt * GPM) / FOOT)))).toBeLessThan(
      1.96 * (std / value),
    );
  });

  it('recovers by two thirds in casing over capacity, as it says itself', () => {
    const state = learnt(0.5, 60);
    const { value, std } = recoveryTime(state);
    expect(Math.abs(value - (1.47 / 0.5) * 60)).toBeLessThan(1.96 * std);
  });

  it('is less after a rest than right after a run, and never below the intake', () => {
    const state = createDrawdown(CASING_M2, 0.05, 4);
    const run = { startS: 0, stopS: 7200, flowM3PerS: 10 * GPM, perM: PER_M, deviation: null };
    const { deepestM, stdM } = learnDrawdown(state, run);
    expect(deepestM).toBeLessThanOrEqual(4);
    expect(stdM).toBeGreaterThan(0.1 * deepestM);
    const soon = drawdownInRun(state, 7210, 10 * GPM)(0);
    const later = drawdownInRun(state, 7210 + 3600, 10 * GPM)(0);
    expect(soon).toBeGreaterThan(later);
    expect(drawdownInRun(state, 7210, 10 * GPM)(1e5)).toBeLessThanOrEqual(4);
  });
});
