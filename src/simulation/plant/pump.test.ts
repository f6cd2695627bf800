import { describe, expect, it } from 'vitest';
import { WATER_PA_PER_M } from '../constants.ts';
import { createPump, type PumpDesign } from './pump.ts';

const DESIGN: PumpDesign = {
  ratedFlowM3PerS: 6.309e-4,
  shutOffHeadM: 105,
  ratedHeadShare: 0.72,
  runOutShare: 1.78,
  ratedEfficiency: 0.58,
  shutOffPowerShare: 0.55,
  leakShare: 0.07,
  eulerSlope: 0.5,
  shocklessShare: 1,
  speedRadPerS: 352,
};
const NEW = { leakFactor: 1, diameterLoss: 0 };

describe('the pump', () => {
  const pump = createPump(DESIGN);
  it('meets what it is designed to', () => {
    expect(pump.headM(0, 1, NEW)).toBeCloseTo(105, 6);
    expect(pump.headM(DESIGN.ratedFlowM3PerS, 1, NEW)).toBeCloseTo(0.72 * 105, 6);
    expect(pump.headM(1.78 * DESIGN.ratedFlowM3PerS, 1, NEW)).toBeCloseTo(0, 6);
    const hydraulic = WATER_PA_PER_M * DESIGN.ratedFlowM3PerS * 0.72 * 105;
    expect(hydraulic / pump.shaftPowerW(DESIGN.ratedFlowM3PerS, 1, NEW)).toBeCloseTo(0.58, 6);
    const share = pump.shaftPowerW(0, 1, NEW) / pump.shaftPowerW(DESIGN.ratedFlowM3PerS, 1, NEW);
    expect(share).toBeCloseTo(0.55, 6);
  });
  // DOE-HDBK-1012/3-92, HT-03 p. 50: twice the speed gives twice the flow and four times the head.
  it('obeys the affinity laws while its rings are tight', () => {
    const tight = createPump({ ...DESIGN, leakShare: 1e-9, eulerSlope: 0.5 });
    for (const x of [0, 0.4, 1]) {
      const q = x * DESIGN.ratedFlowM3PerS;
      const ratio = tight.headM(2 * q, 2, NEW) / tight.headM(q, 1, NEW);
      // Friction in the passages grows with the 1.75th power, not the square: 2 % at rated flow.
      expect(Math.abs(ratio / 4 - 1)).toBeLessThan(0.03);
    }
  });
  it('loses head at every flow with worn rings, and most where head is low', () => {
    const worn = { leakFactor: 3, diameterLoss: 0 };
    const loss = (x: number) => {
      const q = x * DESIGN.ratedFlowM3PerS;
      return 1 - pump.headM(q, 1, worn) / pump.headM(q, 1, NEW);
    };
    expect(loss(0.1)).toBeGreaterThan(0);
    expect(loss(1)).toBeGreaterThan(loss(0.1));
  });
  it('never makes more hydraulic power than it takes', () => {
    for (let x = 0; x <= 1.75; x += 0.05) {
      const q = x * DESIGN.ratedFlowM3PerS;
      const hydraulic = WATER_PA_PER_M * q * pump.headM(q, 1, NEW);
      expect(hydraulic).toBeLessThan(0.65 * pump.shaftPowerW(q, 1, NEW));
    }
  });
});
