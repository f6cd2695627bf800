import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { waterDensityKgPerM3 } from '../water/water-density.ts';
import { waterViscosityPaS } from '../water/water-viscosity.ts';
import { frictionFactorColebrook } from './friction-factor-colebrook.ts';
import { headLossDarcyWeisbachM } from './head-loss-darcy-weisbach.ts';
import { headLossHazenWilliamsM } from './head-loss-hazen-williams.ts';
import { minorLossM } from './minor-loss.ts';
import { reynoldsNumber } from './reynolds-number.ts';

const reynolds = fc.double({ min: 4000, max: 1e8, noNaN: true });
const roughness = fc.double({ min: 0, max: 0.05, noNaN: true });

describe('friction factor', () => {
  it('solves its equation', () => {
    fc.assert(
      fc.property(reynolds, roughness, (re, rough) => {
        const x = 1 / Math.sqrt(frictionFactorColebrook(re, rough));
        expect(x).toBeCloseTo(-2 * Math.log10(rough / 3.7 + (2.51 / re) * x), 11);
      }),
    );
  });

  it('rises with roughness and falls with Reynolds number', () => {
    fc.assert(
      fc.property(reynolds, roughness, (re, rough) => {
        const here = frictionFactorColebrook(re, rough);
        expect(frictionFactorColebrook(re, 0.5 * rough)).toBeLessThanOrEqual(here);
        expect(frictionFactorColebrook(2 * re, rough)).toBeLessThanOrEqual(here);
      }),
    );
  });

  // Fluid-library figure for 10 kg/s of a thin liquid (1000 kg/m3, 1e-5 Pa s) in 1 m of smooth
  // 0.1 m pipe: 63.43447321097365 Pa.
  it('gives a published pressure drop with the Darcy-Weisbach equation', () => {
    const pipe = { flowM3PerS: 0.01, insideDiameterM: 0.1 };
    const re = reynoldsNumber({ ...pipe, kinematicViscosityM2PerS: 1e-8 });
    const frictionFactor = frictionFactorColebrook(re, 0);
    const lossM = headLossDarcyWeisbachM({ ...pipe, frictionFactor, lengthM: 1 });
    expect(lossM * 9.80665 * 1000).toBeCloseTo(63.43447321097365, 4);
  });
});

describe('two formulas for one loss', () => {
  it('agree within a tenth for plastic house pipes at 0.8 to 2.5 m/s and 10 degC', () => {
    const diameter = fc.double({ min: 0.025, max: 0.055, noNaN: true });
    const speed = fc.double({ min: 0.8, max: 2.5, noNaN: true });
    const viscosity = waterViscosityPaS(283.15) / waterDensityKgPerM3(283.15);
    fc.assert(
      fc.property(diameter, speed, (insideDiameterM, speedMPerS) => {
        const flowM3PerS = (speedMPerS * Math.PI * insideDiameterM ** 2) / 4;
        const pipe = { flowM3PerS, insideDiameterM, lengthM: 100 };
        const re = reynoldsNumber({ ...pipe, kinematicViscosityM2PerS: viscosity });
        const frictionFactor = frictionFactorColebrook(re, 1.5e-6 / insideDiameterM);
        const darcy = headLossDarcyWeisbachM({ ...pipe, frictionFactor });
        const hazen = headLossHazenWilliamsM({ ...pipe, coefficient: 145 });
        expect(Math.abs(hazen / darcy - 1)).toBeLessThan(0.1);
      }),
    );
  });

  it('grow with flow and length, and shrink with diameter', () => {
    const flow = fc.double({ min: 1e-5, max: 5e-3, noNaN: true });
    fc.assert(
      fc.property(flow, (flowM3PerS) => {
        const pipe = { flowM3PerS, coefficient: 140, insideDiameterM: 0.0266, lengthM: 60 };
        const here = headLossHazenWilliamsM(pipe);
        expect(headLossHazenWilliamsM({ ...pipe, flowM3PerS: 2 * flowM3PerS })).toBeGreaterThan(
          here,
        );
        expect(headLossHazenWilliamsM({ ...pipe, insideDiameterM: 0.03 })).toBeLessThan(here);
        expect(headLossHazenWilliamsM({ ...pipe, lengthM: 120 })).toBeCloseTo(2 * here, 9);
        const fitting = { coefficient: 2.5, flowM3PerS, insideDiameterM: 0.0266 };
        const twice = minorLossM({ ...fitting, flowM3PerS: 2 * flowM3PerS });
        expect(twice).toBeCloseTo(4 * minorLossM(fitting), 9);
      }),
    );
  });
});
