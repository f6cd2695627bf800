import { describe, expect, it } from 'vitest';
import { fitTwo } from '../../../test/support/least-squares.ts';
import { cooperJacobDrawdownM } from './cooper-jacob-drawdown.ts';
import tests from './pumping-tests.data.json' with { type: 'json' };
import { superposedDrawdownM } from './superposed-drawdown.ts';
import { theisDrawdownM } from './theis-drawdown.ts';
import { theisRecoveryM } from './theis-recovery.ts';

const DAY_S = 86_400;
const off = (found: number, published: number) => Math.abs(found / published - 1);

describe('published pumping tests, fitted by least squares', () => {
  it('Gridley (Fetter 2001, Table 5.1): T within 5 %, S within 15 % of the type curve', () => {
    const { flowM3PerS, radiusM, timeS, drawdownM, published, independentFit } = tests.gridley;
    const fit = fitTwo([1e-3, 1e-5], drawdownM, (transmissivityM2PerS, storativity, i) =>
      theisDrawdownM({
        flowM3PerS,
        transmissivityM2PerS,
        storativity,
        radiusM,
        timeS: timeS[i] ?? 0,
      }),
    );
    expect(off(fit.first, published.typeCurve.transmissivityM2PerS)).toBeLessThan(0.055);
    expect(off(fit.second, published.typeCurve.storativity)).toBeLessThan(0.15);
    expect(off(fit.first, published.toolboxFit.transmissivityM2PerS)).toBeLessThan(0.05);
    expect(off(fit.second, published.toolboxFit.storativity)).toBeLessThan(0.05);
    expect(off(fit.first, independentFit.transmissivityM2PerS)).toBeLessThan(1e-6);
    expect(off(fit.second, independentFit.storativity)).toBeLessThan(1e-6);
    expect(off(fit.rmse, independentFit.rmseM)).toBeLessThan(1e-6);
  });

  it('Gridley by straight line from the third point on: T within 5 %, S within 15 %', () => {
    const { flowM3PerS, radiusM, timeS, drawdownM, published } = tests.gridley;
    const late = drawdownM.slice(2);
    // The published line runs through points with u up to 0.2, outside the formula's own range,
    // so the line is fitted here and then compared with the formula where that holds.
    const x = timeS.slice(2).map((t) => Math.log(t));
    const mean = (list: number[]) => list.reduce((sum, v) => sum + v, 0) / list.length;
    const top = mean(x.map((v, i) => (v - mean(x)) * ((late[i] ?? 0) - mean(late))));
    const slope = top / mean(x.map((v) => (v - mean(x)) ** 2));
    const transmissivityM2PerS = flowM3PerS / (4 * Math.PI * slope);
    const zeroS = Math.exp(mean(x) - mean(late) / slope);
    const storativity =
      (4 * Math.exp(-0.577_215_664_901_5) * transmissivityM2PerS * zeroS) / radiusM ** 2;
    expect(off(transmissivityM2PerS, published.straightLine.transmissivityM2PerS)).toBeLessThan(
      0.05,
    );
    expect(off(storativity, published.straightLine.storativity)).toBeLessThan(0.15);
    const endS = timeS.at(-1) ?? 0;
    const end = { flowM3PerS, transmissivityM2PerS, storativity, radiusM, timeS: endS };
    expect(cooperJacobDrawdownM(end)).toBeCloseTo(slope * Math.log(endS / zeroS), 9);
  });

  const { flowM3PerDay, thicknessM, piezometers, libraryFitBoth } = tests.oudeKorendijk;
  const points = piezometers.map(({ radiusM, timeMin, drawdownM, libraryFit }) => ({
    name: `at ${radiusM} m`,
    observed: drawdownM,
    where: timeMin.map((t) => ({ radiusM, timeS: 60 * t })),
    libraryFit,
  }));
  const both = {
    name: 'both piezometers',
    observed: points.flatMap(({ observed }) => observed),
    where: points.flatMap(({ where }) => where),
    libraryFit: libraryFitBoth,
  };

  it.each([...points, both])(
    'Oude Korendijk (Kruseman & de Ridder), $name: k 0.1 %, Ss 0.5 %',
    (part) => {
      const fit = fitTwo([5e-3, 1e-4], part.observed, (transmissivityM2PerS, storativity, i) =>
        theisDrawdownM({
          flowM3PerS: flowM3PerDay / DAY_S,
          transmissivityM2PerS,
          storativity,
          ...(part.where[i] ?? { radiusM: Number.NaN, timeS: Number.NaN }),
        }),
      );
      const { conductivityMPerDay, specificStoragePerM, rmseM } = part.libraryFit;
      expect(off((fit.first * DAY_S) / thicknessM, conductivityMPerDay)).toBeLessThan(1e-3);
      expect(off(fit.second / thicknessM, specificStoragePerM)).toBeLessThan(5e-3);
      expect(off(fit.rmse, rmseM)).toBeLessThan(1e-3);
    },
  );

  it('step test of Kruseman & de Ridder (p. 185): T within 3 %, S within 5 %', () => {
    const { radiusM, timeS, drawdownM, published } = tests.stepTest;
    const steps = tests.stepTest.steps.map((step) => ({
      fromS: 60 * step.fromMin,
      flowM3PerS: step.flowM3PerDay / DAY_S,
    }));
    const fit = fitTwo([1e-3, 1e-3], drawdownM, (transmissivityM2PerS, storativity, i) =>
      superposedDrawdownM(steps, {
        transmissivityM2PerS,
        storativity,
        radiusM,
        timeS: timeS[i] ?? 0,
      }),
    );
    expect(off(fit.first * DAY_S, published.transmissivityM2PerDay)).toBeLessThan(0.03);
    expect(off(fit.second, published.storativity)).toBeLessThan(0.05);
    expect(fit.rmse).toBeLessThan(0.01);
  });

  it('recovery test of Todd (1980): T within 5 %', () => {
    const { radiusM, pumpedMin, sinceStopMin, residualM, published } = tests.recovery;
    const fit = fitTwo([1e-2, 1e-4], residualM, (transmissivityM2PerS, storativity, i) =>
      theisRecoveryM({
        flowM3PerS: tests.recovery.flowM3PerDay / DAY_S,
        transmissivityM2PerS,
        storativity,
        radiusM,
        pumpedS: 60 * pumpedMin,
        sinceStopS: 60 * (sinceStopMin[i] ?? 0),
      }),
    );
    expect(off(fit.first * DAY_S, published.transmissivityM2PerDay)).toBeLessThan(0.05);
    expect(off(fit.first, published.batuTransmissivityM2PerS)).toBeLessThan(0.06);
  });
});
