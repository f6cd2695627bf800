import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { atmosphericPressurePa } from '../air/atmospheric-pressure.ts';
import { energyPerVolumeJPerM3 } from '../energy/energy-per-volume.ts';
import { energyPerVolumeFloorJPerM3 } from '../energy/energy-per-volume-floor.ts';
import { hydraulicPowerW } from '../pump/hydraulic-power.ts';
import { vapourPressurePa } from './vapour-pressure.ts';
import { waterDensityKgPerM3 } from './water-density.ts';
import { waterViscosityPaS } from './water-viscosity.ts';

const range = (min: number, max: number) => fc.double({ min, max, noNaN: true });

describe('water', () => {
  it('is densest near 3.98 degC', () => {
    const temperatures = Array.from({ length: 2001 }, (_, i) => 273.15 + i / 200);
    const densest = temperatures.reduce((a, b) =>
      waterDensityKgPerM3(b) > waterDensityKgPerM3(a) ? b : a,
    );
    expect(densest - 273.15).toBeCloseTo(3.98, 1);
  });

  it('flows more easily and boils sooner when warmer', () => {
    fc.assert(
      fc.property(range(273.15, 372), (temperatureK) => {
        expect(waterViscosityPaS(temperatureK + 1)).toBeLessThan(waterViscosityPaS(temperatureK));
        expect(vapourPressurePa(temperatureK + 1)).toBeGreaterThan(vapourPressurePa(temperatureK));
      }),
    );
  });

  // Normal boiling point of IF97 at 101325 Pa: 373.1243 K (from memory).
  it('boils at 99.97 degC under one atmosphere', () => {
    expect(vapourPressurePa(373.1243)).toBeCloseTo(101_325, -1);
  });
});

describe('air', () => {
  it('weighs down on itself: dp/dz = -density g', () => {
    fc.assert(
      fc.property(range(-1900, 10_000), (altitudeM) => {
        const slope = atmosphericPressurePa(altitudeM + 1) - atmosphericPressurePa(altitudeM - 1);
        const temperatureK = 288.15 - 0.0065 * altitudeM;
        const density = atmosphericPressurePa(altitudeM) / (287.053 * temperatureK);
        expect(Math.abs(-slope / 2 / (density * 9.80665) - 1)).toBeLessThan(5e-3);
      }),
    );
  });
});

describe('energy', () => {
  it('of a pump without loss is the floor', () => {
    fc.assert(
      fc.property(range(1, 300), range(1e-5, 1e-2), (headM, flowM3PerS) => {
        const powerW = hydraulicPowerW({ flowM3PerS, headM, densityKgPerM3: 999.7 });
        const floor = energyPerVolumeFloorJPerM3(headM);
        expect(Math.abs(energyPerVolumeJPerM3(powerW, flowM3PerS) / floor - 1)).toBeLessThan(1e-12);
      }),
    );
  });
});
