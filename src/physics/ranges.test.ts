import { describe, expect, it } from 'vitest';
import { atmosphericPressurePa } from './air/atmospheric-pressure.ts';
import { conductorResistanceOhm } from './electrics/conductor-resistance.ts';
import { electricPowerW } from './electrics/electric-power.ts';
import { lineCurrentA } from './electrics/line-current.ts';
import { magnetisingCurrentA } from './electrics/magnetising-current.ts';
import { motorElectricPowerW } from './electrics/motor-electric-power.ts';
import { typicalPowerFactor } from './electrics/typical-power-factor.ts';
import { voltageDropV } from './electrics/voltage-drop.ts';
import { energyPerVolumeJPerM3 } from './energy/energy-per-volume.ts';
import { energyPerVolumeFloorJPerM3 } from './energy/energy-per-volume-floor.ts';
import { frictionFactorColebrook } from './hydraulics/friction-factor-colebrook.ts';
import { headLossDarcyWeisbachM } from './hydraulics/head-loss-darcy-weisbach.ts';
import { headLossHazenWilliamsM } from './hydraulics/head-loss-hazen-williams.ts';
import { minorLossM } from './hydraulics/minor-loss.ts';
import { reynoldsNumber } from './hydraulics/reynolds-number.ts';
import { affinityFlowM3PerS } from './pump/affinity-flow.ts';
import { affinityHeadM } from './pump/affinity-head.ts';
import { affinityPowerW } from './pump/affinity-power.ts';
import { headFromGenericCurveM } from './pump/head-from-generic-curve.ts';
import { headFromPointsM } from './pump/head-from-points.ts';
import { hydraulicPowerW } from './pump/hydraulic-power.ts';
import { shaftPowerGenericW } from './pump/shaft-power-generic.ts';
import { drawdownM3 } from './tank/drawdown.ts';
import { gasLogTemperatureStep } from './tank/gas-log-temperature-step.ts';
import { tankConstantPaM3 } from './tank/tank-constant.ts';
import { vapourPressurePa } from './water/vapour-pressure.ts';
import { waterDensityKgPerM3 } from './water/water-density.ts';
import { waterViscosityPaS } from './water/water-viscosity.ts';
import { casingAreaM2 } from './well/casing-area.ts';
import { casingStorageDrawdownM } from './well/casing-storage-drawdown.ts';
import { cooperJacobDrawdownM } from './well/cooper-jacob-drawdown.ts';
import { superposedDrawdownM } from './well/superposed-drawdown.ts';
import { theisDrawdownM } from './well/theis-drawdown.ts';
import { theisRecoveryM } from './well/theis-recovery.ts';
import { wellFunction } from './well/well-function.ts';

type Given = Record<string, number>;
/** The bounds of `at` and of `from` belong to the range; that of `above` does not. */
interface Range {
  at?: [number, number];
  from?: number;
  above?: number;
  /** Whether another bound is met before that one is. */
  barred?: true;
}
interface Case {
  name: string;
  of: (given: Given) => number;
  base: Given;
  ranges: Record<string, Range>;
}

const from = (least: number): Range => ({ from: least });
const above = (bound: number): Range => ({ above: bound });
const barred = (bound: number): Range => ({ above: bound, barred: true });
const between = (least: number, most: number): Range => ({ at: [least, most] });

/** A formula that takes an object, or plain arguments in the order of `base`. */
const named = <T>(
  formula: (given: T) => number,
  base: T & Given,
  ranges: Record<string, Range>,
): Case => ({ name: formula.name, of: (given) => formula(given as T), base, ranges });
const plain = (
  formula: (...given: number[]) => number,
  base: Given,
  ranges: Record<string, Range>,
): Case => ({ name: formula.name, of: (given) => formula(...Object.values(given)), base, ranges });

const aquifer = { transmissivityM2PerS: 1e-3, storativity: 1e-4, radiusM: 10 };
const aquiferRanges = {
  transmissivityM2PerS: above(0),
  storativity: above(0),
  radiusM: above(0),
};
const hp = 745.699_871_582_270_2;

// Each range as the comment of the formula states it.
const cases: Case[] = [
  plain(atmosphericPressurePa, { altitudeM: 0 }, { altitudeM: between(-2000, 11_000) }),
  named(
    conductorResistanceOhm,
    { areaM2: 3e-6, lengthM: 90, temperatureK: 285 },
    { areaM2: above(0), lengthM: from(0), temperatureK: between(223, 423) },
  ),
  named(
    voltageDropV,
    { currentA: 8, areaM2: 3e-6, lengthM: 90, temperatureK: 285 },
    { currentA: from(0), areaM2: above(0), lengthM: from(0), temperatureK: between(223, 423) },
  ),
  named(
    electricPowerW,
    { currentA: 8, voltageV: 230, magnetisingA: 5 },
    { currentA: from(5), voltageV: above(0), magnetisingA: between(0, 8) },
  ),
  named(
    lineCurrentA,
    { powerW: 900, voltageV: 230, magnetisingA: 5 },
    { powerW: from(0), voltageV: above(0), magnetisingA: from(0) },
  ),
  named(
    magnetisingCurrentA,
    { currentA: 8, powerFactor: 0.8, voltageRatio: 1 },
    { currentA: from(0), powerFactor: between(0, 1), voltageRatio: between(0.8, 1.2) },
  ),
  named(
    motorElectricPowerW,
    { shaftPowerW: 700, noLoadPowerW: 200, slope: 1.3 },
    { shaftPowerW: from(0), noLoadPowerW: from(0), slope: from(1) },
  ),
  {
    name: 'typicalPowerFactor',
    of: ({ ratedPowerW }) => typicalPowerFactor(ratedPowerW!, true),
    base: { ratedPowerW: hp },
    // A third and five horsepower, as nameplates round them.
    ranges: { ratedPowerW: between(0.33 * hp, 5.01 * hp) },
  },
  plain(
    energyPerVolumeJPerM3,
    { powerW: 900, flowM3PerS: 6e-4 },
    { powerW: from(0), flowM3PerS: above(0) },
  ),
  plain(
    energyPerVolumeFloorJPerM3,
    { headM: 60, densityKgPerM3: 1000 },
    { headM: from(0), densityKgPerM3: above(0) },
  ),
  plain(
    frictionFactorColebrook,
    { reynolds: 1e5, relativeRoughness: 0.001 },
    { reynolds: from(4000), relativeRoughness: between(0, 0.05) },
  ),
  named(
    headLossDarcyWeisbachM,
    { flowM3PerS: 6e-4, frictionFactor: 0.02, insideDiameterM: 0.0266, lengthM: 60 },
    { flowM3PerS: from(0), frictionFactor: above(0), insideDiameterM: above(0), lengthM: from(0) },
  ),
  named(
    headLossHazenWilliamsM,
    { flowM3PerS: 6e-4, coefficient: 145, insideDiameterM: 0.0266, lengthM: 60 },
    { flowM3PerS: from(0), coefficient: above(0), insideDiameterM: above(0), lengthM: from(0) },
  ),
  named(
    minorLossM,
    { coefficient: 2, flowM3PerS: 6e-4, insideDiameterM: 0.0266 },
    { coefficient: from(0), flowM3PerS: from(0), insideDiameterM: above(0) },
  ),
  named(
    reynoldsNumber,
    { flowM3PerS: 6e-4, insideDiameterM: 0.0266, kinematicViscosityM2PerS: 1.3e-6 },
    { flowM3PerS: from(0), insideDiameterM: above(0), kinematicViscosityM2PerS: above(0) },
  ),
  plain(
    affinityFlowM3PerS,
    { flowM3PerS: 6e-4, speedRatio: 0.9 },
    { flowM3PerS: from(0), speedRatio: above(0) },
  ),
  plain(affinityHeadM, { headM: 60, speedRatio: 0.9 }, { headM: from(0), speedRatio: above(0) }),
  plain(
    affinityPowerW,
    { shaftPowerW: 700, speedRatio: 0.9 },
    { shaftPowerW: from(0), speedRatio: above(0) },
  ),
  named(
    headFromGenericCurveM,
    { flowM3PerS: 0, ratedFlowM3PerS: 6.3e-4, shutOffHeadM: 130 },
    { flowM3PerS: from(0), ratedFlowM3PerS: above(0), shutOffHeadM: above(0) },
  ),
  named(
    hydraulicPowerW,
    { flowM3PerS: 6e-4, headM: 60, densityKgPerM3: 1000 },
    { flowM3PerS: from(0), headM: from(0), densityKgPerM3: above(0) },
  ),
  named(
    shaftPowerGenericW,
    { flowM3PerS: 0, ratedFlowM3PerS: 1, shaftPowerAtRatedW: 700 },
    { flowM3PerS: between(0, 1.78), ratedFlowM3PerS: above(0), shaftPowerAtRatedW: above(0) },
  ),
  named(
    drawdownM3,
    { tankConstantPaM3: 1e5, cutInPaAbs: 377_000, cutOutPaAbs: 515_000 },
    { tankConstantPaM3: above(0), cutInPaAbs: above(0), cutOutPaAbs: from(377_000) },
  ),
  plain(
    gasLogTemperatureStep,
    { theta: 0.01, deltaLnPressure: 0.1, elapsedS: 5, kappa: 2 / 7, tauS: 60 },
    { elapsedS: from(0), tauS: above(0) },
  ),
  plain(
    tankConstantPaM3,
    { volumeM3: 0.3, prechargePaAbs: 363_000 },
    { volumeM3: above(0), prechargePaAbs: above(0) },
  ),
  plain(vapourPressurePa, { temperatureK: 300 }, { temperatureK: between(273.15, 647.096) }),
  plain(waterDensityKgPerM3, { temperatureK: 300 }, { temperatureK: between(253.15, 383.15) }),
  plain(waterViscosityPaS, { temperatureK: 300 }, { temperatureK: between(253.15, 383.15) }),
  plain(
    casingAreaM2,
    { casingInsideDiameterM: 0.15, pipeOutsideDiameterM: 0.04 },
    { casingInsideDiameterM: above(0.04), pipeOutsideDiameterM: from(0) },
  ),
  named(
    casingStorageDrawdownM,
    { flowM3PerS: 6e-4, specificCapacityM2PerS: 2e-5, casingAreaM2: 0.018, timeS: 600 },
    {
      flowM3PerS: from(0),
      specificCapacityM2PerS: above(0),
      casingAreaM2: above(0),
      timeS: from(0),
    },
  ),
  named(
    cooperJacobDrawdownM,
    { ...aquifer, flowM3PerS: 6e-4, timeS: 1e6 },
    {
      ...aquiferRanges,
      transmissivityM2PerS: barred(0),
      flowM3PerS: from(0),
      timeS: barred(0),
    },
  ),
  named(
    theisDrawdownM,
    { ...aquifer, flowM3PerS: 6e-4, timeS: 3600 },
    { ...aquiferRanges, flowM3PerS: from(0), timeS: above(0) },
  ),
  named(
    theisRecoveryM,
    { ...aquifer, flowM3PerS: 6e-4, pumpedS: 3600, sinceStopS: 600 },
    { ...aquiferRanges, flowM3PerS: from(0), pumpedS: above(0), sinceStopS: above(0) },
  ),
  {
    name: 'superposedDrawdownM',
    of: ({ flowM3PerS, fromS, ...at }) =>
      superposedDrawdownM(
        [
          { fromS: 0, flowM3PerS: 6e-4 },
          { fromS: fromS!, flowM3PerS: flowM3PerS! },
        ],
        { ...aquifer, timeS: 3600, ...at },
      ),
    base: { ...aquifer, flowM3PerS: 9e-4, fromS: 600 },
    ranges: { ...aquiferRanges, flowM3PerS: from(0), fromS: above(0) },
  },
  plain(wellFunction, { u: 0.01 }, { u: above(0) }),
];

/** A little more or less than a bound. */
const beside = (bound: number, sign: 1 | -1): number =>
  bound + sign * Math.max(1e-9, 1e-9 * Math.abs(bound));

describe.each(cases)('the stated range of $name', ({ of, base, ranges }) => {
  it('holds its usual values', () => {
    expect(of(base)).toBeGreaterThanOrEqual(0);
    expect(of(base)).toBeLessThan(Infinity);
  });

  it.each(Object.entries(ranges))('ends where it says for %s', (argument, range) => {
    const at = (value: number): number => of({ ...base, [argument]: value });
    expect(Object.keys(base)).toContain(argument);
    expect(at(NaN)).toBeNaN();
    const least = range.at?.[0] ?? range.from;
    if (least !== undefined) {
      expect(at(least)).not.toBeNaN();
      expect(at(beside(least, -1))).toBeNaN();
    }
    if (range.at !== undefined) {
      expect(at(range.at[1])).not.toBeNaN();
      expect(at(beside(range.at[1], 1))).toBeNaN();
    }
    if (range.above !== undefined) {
      expect(at(range.above)).toBeNaN();
      expect(at(beside(range.above, -1))).toBeNaN();
      if (range.barred !== true) expect(at(beside(range.above, 1))).not.toBeNaN();
    }
  });
});

describe('ranges that more than one argument bounds', () => {
  it('of the generic curve end where its head does', () => {
    const head = (flowM3PerS: number) =>
      headFromGenericCurveM({ flowM3PerS, ratedFlowM3PerS: 1, shutOffHeadM: 100 });
    expect(head(1.76)).toBeGreaterThan(0);
    expect(head(1.78)).toBeNaN();
    expect(
      headFromGenericCurveM({ flowM3PerS: 1, ratedFlowM3PerS: -1, shutOffHeadM: 100 }),
    ).toBeNaN();
  });

  it('of a late drawdown end at u = 0.05', () => {
    const at = { flowM3PerS: 1e-3, transmissivityM2PerS: 0.25, storativity: 0.05, timeS: 1 };
    expect(cooperJacobDrawdownM({ ...at, radiusM: 1 })).not.toBeNaN();
    expect(cooperJacobDrawdownM({ ...at, radiusM: 1.000_001 })).toBeNaN();
  });

  it('of a curve by points: two points, flow that rises, head that does not', () => {
    const point = (flowM3PerS: number, headM: number) => ({ flowM3PerS, headM });
    const curve = [point(0, 100), point(1, 90), point(2, 70)];
    expect(headFromPointsM(0, curve)).toBe(100);
    expect(headFromPointsM(2, curve)).toBe(70);
    expect(headFromPointsM(-1e-9, curve)).toBeNaN();
    expect(headFromPointsM(2 + 1e-9, curve)).toBeNaN();
    expect(headFromPointsM(NaN, curve)).toBeNaN();
    expect(headFromPointsM(0, [])).toBeNaN();
    expect(headFromPointsM(0, [point(0, 100)])).toBeNaN();
    expect(headFromPointsM(0.5, [point(0, 100), point(1, 90), point(1, 80)])).toBeNaN();
    expect(headFromPointsM(0.5, [point(0, 100), point(1, 90), point(0.8, 80)])).toBeNaN();
    expect(headFromPointsM(0.5, [point(0, 100), point(1, 100.1), point(2, 80)])).toBeNaN();
    expect(headFromPointsM(0.5, [point(0, 100), point(1, 100), point(2, 80)])).toBe(100);
  });
});

describe('what no published row pins down', () => {
  // h = K v2/(2 g) with v as 1/D2: twice the diameter, a sixteenth of the loss.
  it('a fitting loses with the inverse fourth power of the diameter', () => {
    const fitting = { coefficient: 2.5, flowM3PerS: 6e-4 };
    const narrow = minorLossM({ ...fitting, insideDiameterM: 0.02 });
    const wide = minorLossM({ ...fitting, insideDiameterM: 0.04 });
    expect(narrow / wide).toBeCloseTo(16, 9);
  });

  // Own table, from memory: straight between neighbouring sizes, worked by hand.
  it.each([
    [0.625, false, 0.7025],
    [0.9, false, 0.71],
    [1.25, false, 0.73],
    [0.6, true, 0.972],
    [1.25, true, 0.895],
    [2.5, true, 0.9],
    [0.4, true, 0.97],
    [5, false, 0.75],
  ])('the power factor of %d hp, run capacitor %s, is %d', (size, capacitorRun, factor) => {
    expect(typicalPowerFactor(size * hp, capacitorRun)).toBeCloseTo(factor, 9);
  });

  it('the well function is one where its two branches meet', () => {
    expect(wellFunction(1) / wellFunction(1 + 1e-12)).toBeCloseTo(1, 11);
  });
});
