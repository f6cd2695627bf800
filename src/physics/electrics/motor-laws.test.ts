import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { conductorResistanceOhm } from './conductor-resistance.ts';
import { electricPowerW } from './electric-power.ts';
import { lineCurrentA } from './line-current.ts';
import { magnetisingCurrentA } from './magnetising-current.ts';
import { typicalPowerFactor } from './typical-power-factor.ts';
import { voltageDropV } from './voltage-drop.ts';

describe('motor current and power', () => {
  const load = fc.record({
    powerW: fc.double({ min: 50, max: 4000, noNaN: true }),
    voltageV: fc.double({ min: 100, max: 260, noNaN: true }),
    magnetisingA: fc.double({ min: 0, max: 10, noNaN: true }),
  });

  it('are the inverse of each other', () => {
    fc.assert(
      fc.property(load, ({ powerW, voltageV, magnetisingA }) => {
        const currentA = lineCurrentA({ powerW, voltageV, magnetisingA });
        const back = electricPowerW({ currentA, voltageV, magnetisingA });
        expect(Math.abs(back / powerW - 1)).toBeLessThan(1e-9);
      }),
    );
  });

  // An own table of what voltage does to the amps of a loaded motor, in percent, computed apart
  // from this code: active part with 1/V, magnetising part with V squared.
  it.each([
    { powerFactor: 0.7, percent: [-3, -2, 3, 7] },
    { powerFactor: 0.8, percent: [1, 0, 1, 3] },
    { powerFactor: 0.92, percent: [7, 3, -2, -4] },
  ])('at power factor $powerFactor follow the voltage', ({ powerFactor, percent }) => {
    const found = [0.9, 0.95, 1.05, 1.1].map((voltageRatio) => {
      const magnetisingA = magnetisingCurrentA({ currentA: 10, powerFactor, voltageRatio });
      const powerW = 10 * powerFactor * 230;
      return 10 * lineCurrentA({ powerW, voltageV: 230 * voltageRatio, magnetisingA }) - 100;
    });
    expect(found).toHaveLength(percent.length);
    for (const [i, expected] of percent.entries()) {
      expect(Math.abs((found[i] ?? Number.NaN) - expected)).toBeLessThanOrEqual(1);
    }
  });

  it('have a power factor between 0.65 and 1 whatever the size', () => {
    fc.assert(
      fc.property(fc.double({ min: 250, max: 3700, noNaN: true }), fc.boolean(), (watts, run) => {
        const factor = typicalPowerFactor(watts, run);
        expect(factor).toBeGreaterThan(0.65);
        expect(factor).toBeLessThan(1);
      }),
    );
  });
});

describe('cables', () => {
  it('lose more when longer, thinner or warmer, and twice what one conductor loses', () => {
    const cable = { areaM2: 3.3e-6, lengthM: 90, temperatureK: 285 };
    const here = conductorResistanceOhm(cable);
    expect(conductorResistanceOhm({ ...cable, lengthM: 100 })).toBeGreaterThan(here);
    expect(conductorResistanceOhm({ ...cable, areaM2: 2e-6 })).toBeGreaterThan(here);
    expect(conductorResistanceOhm({ ...cable, temperatureK: 300 })).toBeGreaterThan(here);
    expect(voltageDropV({ ...cable, currentA: 8 })).toBeCloseTo(16 * here, 12);
  });
});
