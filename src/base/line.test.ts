import { describe, expect, it } from 'vitest';
import { fitLine, stdAt, valueAt, xAt } from './line.ts';

const NORRIS_X = [
  0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9,
  338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0,
  779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
];
const NORRIS_Y = [
  0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8,
  339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5,
  778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
];
const H3_T = [
  21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511,
];
const H3_B = [
  -0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16,
];

describe('fitLine', () => {
  it('gives the certified values of NIST StRD Norris', () => {
    // NIST/ITL Statistical Reference Datasets, Linear Least Squares, Norris.dat.
    const line = fitLine({ x: NORRIS_X, y: NORRIS_Y, yStd: null });
    close(line.intercept, -0.262323073774029, 1e-9);
    close(line.slope, 1.00211681802045, 1e-9);
    close(Math.sqrt(line.interceptVar), 0.232818234301152, 1e-9);
    close(Math.sqrt(line.slopeVar), 0.000429796848199937, 1e-9);
    close(line.residualStd, 0.884796396144373, 1e-9);
    expect(line.degreesOfFreedom).toBe(34);
    // Covariance as printed in the test program of the GNU Scientific Library.
    close(line.cov, -7.7432753633957e-5, 1e-8);
  });

  it('gives the results of GUM example H.3, calibration of a thermometer', () => {
    // JCGM 100:2008 clause H.3, Table H.6 and H.3.3, H.3.4: to the digits printed.
    const line = fitLine({ x: H3_T, y: H3_B, yStd: null, aboutX: 20 });
    expect(line.intercept).toBeCloseTo(-0.1712, 4);
    expect(Math.sqrt(line.interceptVar)).toBeCloseTo(0.0029, 4);
    expect(line.slope).toBeCloseTo(0.00218, 5);
    expect(Math.sqrt(line.slopeVar)).toBeCloseTo(0.00067, 5);
    const r = line.cov / Math.sqrt(line.interceptVar * line.slopeVar);
    expect(r).toBeCloseTo(-0.93, 3);
    expect(line.residualStd).toBeCloseTo(0.0035, 4);
    expect(valueAt(line, 30)).toBeCloseTo(-0.1494, 4);
    expect(stdAt(line, 30)).toBeCloseTo(0.0041, 4);
    expect(line.degreesOfFreedom).toBe(9);
  });

  it('passes through two points, with the uncertainty of each at its place', () => {
    const line = fitLine({ x: [0.5, 2.1], y: [0, 40], yStd: [0.3, 0.5] });
    expect(valueAt(line, 0.5)).toBeCloseTo(0, 12);
    expect(valueAt(line, 2.1)).toBeCloseTo(40, 12);
    expect(stdAt(line, 0.5)).toBeCloseTo(0.3, 12);
    expect(stdAt(line, 2.1)).toBeCloseTo(0.5, 12);
  });

  it('does not depend on where its intercept is taken', () => {
    const near = fitLine({ x: H3_T, y: H3_B, yStd: null });
    const far = fitLine({ x: H3_T, y: H3_B, yStd: null, aboutX: 500 });
    expect(valueAt(far, 25)).toBeCloseTo(valueAt(near, 25), 10);
    expect(stdAt(far, 25)).toBeCloseTo(stdAt(near, 25), 10);
  });

  it('widens the uncertainty when points scatter more than they say', () => {
    const x = [0, 1, 2, 3];
    const y = [0, 1.3, 1.7, 3];
    const calm = fitLine({ x, y, yStd: [0.3, 0.3, 0.3, 0.3] });
    const wild = fitLine({ x, y, yStd: [0.03, 0.03, 0.03, 0.03] });
    expect(stdAt(calm, 1.5)).toBeCloseTo(0.15, 12);
    expect(stdAt(wild, 1.5)).toBeGreaterThan(4 * (0.03 / 2));
  });

  it('finds the place of a value again', () => {
    for (const aboutX of [0, 20, -3]) {
      const line = fitLine({ x: [1, 2, 5], y: [3, 8, 11], yStd: null, aboutX });
      expect(valueAt(line, xAt(line, 7))).toBeCloseTo(7, 12);
      expect(xAt(line, valueAt(line, 4))).toBeCloseTo(4, 12);
    }
  });

  it('is NaN without two different x', () => {
    expect(fitLine({ x: [1, 1], y: [1, 2], yStd: null }).slope).toBeNaN();
    expect(fitLine({ x: [], y: [], yStd: null }).slope).toBeNaN();
  });
});

function close(found: number, expected: number, relative: number): void {
  expect(Math.abs(found - expected)).toBeLessThanOrEqual(Math.abs(expected) * relative);
}
