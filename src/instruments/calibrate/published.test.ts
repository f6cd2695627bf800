import { expect, it } from 'vitest';
import { stdAt, valueAt } from '../../base/line.ts';
import { calibrate } from './calibrate.ts';
import lines from './lines.vectors.json' with { type: 'json' };
import type { CalibrationPair } from './types.ts';
import { fitYork } from './york.ts';

const options = { channel: 'current', raw: 'count', units: 'si', use: null } as const;
const unsure = (x: readonly number[], y: readonly number[]): CalibrationPair[] =>
  x.map((raw, i) => ({ raw, rawStd: 0, reference: y[i]!, referenceStd: 0, atS: null }));
const relative = (found: number, expected: number) => Math.abs(found / expected - 1);

it("gives the line through Pearson's data with York's weights", () => {
  const { x, y, wx, wy, williamson, york2004 } = lines.pearson;
  const std = (weights: number[]) => weights.map((weight) => 1 / Math.sqrt(weight));
  const { line, chiSquare } = fitYork({ x, y, xStd: std(wx), yStd: std(wy) });
  // Williamson 1968, eleven digits; Reed and Lybanon agree to the digits they print.
  expect(line.slope).toBeCloseTo(williamson.slope, 10);
  expect(line.intercept).toBeCloseTo(williamson.intercept, 9);
  expect(Math.sqrt(line.slopeVar)).toBeCloseTo(york2004.sigmaSlope, 5);
  expect(Math.sqrt(line.interceptVar)).toBeCloseTo(york2004.sigmaIntercept, 5);
  expect(chiSquare).toBeCloseTo(lines.pearson.chiSquare, 3);
});

it('calibrate gives the same line, widened by its scatter', () => {
  const { x, y, wx, wy, williamson, york2004 } = lines.pearson;
  const pairs = x.map((raw, i) => ({
    raw,
    rawStd: 1 / Math.sqrt(wx[i]!),
    reference: y[i]!,
    referenceStd: 1 / Math.sqrt(wy[i]!),
    atS: null,
  }));
  const report = calibrate(pairs, options);
  expect(report.weighted).toBe('both');
  expect(report.line?.slope).toBeCloseTo(williamson.slope, 10);
  expect(report.widenedBy ** 2).toBeCloseTo(1.4833, 4);
  const widened = york2004.sigmaSlope * Math.sqrt(1.4833);
  expect(Math.sqrt(report.line?.slopeVar ?? 0)).toBeCloseTo(widened, 4);
});

it('gives the certified values of NIST StRD Norris, and nothing against its line', () => {
  const { x, y, certified } = lines.norris;
  const { line, weighted, refusals } = calibrate(unsure(x, y), options);
  expect(weighted).toBe('none');
  expect(relative(line!.intercept, certified.intercept)).toBeLessThan(1e-9);
  expect(relative(line!.slope, certified.slope)).toBeLessThan(1e-9);
  expect(relative(Math.sqrt(line!.interceptVar), certified.sdIntercept)).toBeLessThan(1e-9);
  expect(relative(Math.sqrt(line!.slopeVar), certified.sdSlope)).toBeLessThan(1e-9);
  expect(relative(line!.residualStd, certified.residualSd)).toBeLessThan(1e-9);
  expect(refusals).toEqual([]);
});

it('finds that NIST StRD Pontius is no straight line, with the certified square term', () => {
  const { x, y, certified } = lines.pontius;
  const { curvature, refusals } = calibrate(unsure(x, y), options);
  expect(relative(curvature!.coefficient, certified.B2)).toBeLessThan(1e-7);
  expect(relative(curvature!.std, certified.sdB2)).toBeLessThan(1e-7);
  expect(refusals.map(({ id }) => id)).toEqual(['not-straight']);
  expect(refusals[0]?.number).toBeCloseTo(Math.abs(certified.B2 / certified.sdB2), 3);
});

it('gives the results of GUM example H.3 to the digits printed', () => {
  const { t, b, aboutT, results } = lines.thermometer;
  const pairs = unsure(
    t.map((one) => one - aboutT),
    b,
  );
  const { line, degreesOfFreedom } = calibrate(pairs, options);
  expect(line!.intercept).toBeCloseTo(results.y1, 4);
  expect(Math.sqrt(line!.interceptVar)).toBeCloseTo(results.u_y1, 4);
  expect(line!.slope).toBeCloseTo(results.y2, 5);
  expect(Math.sqrt(line!.slopeVar)).toBeCloseTo(results.u_y2, 5);
  const r = line!.cov / Math.sqrt(line!.interceptVar * line!.slopeVar);
  expect(r).toBeCloseTo(results.r_y1y2, 3);
  expect(valueAt(line!, 10)).toBeCloseTo(results.b_at_30C, 4);
  expect(stdAt(line!, 10)).toBeCloseTo(results.u_b_at_30C, 4);
  expect(degreesOfFreedom).toBe(results.df);
});
