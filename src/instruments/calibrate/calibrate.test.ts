import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { evenly } from '../../../test/support/evenly.ts';
import { fitLine, stdAt, valueAt } from '../../base/line.ts';
import { ACT_CAUTIONS } from '../../model/cautions.ts';
import { calibrate } from './calibrate.ts';
import { chiSquareLimit } from './refusals.ts';
import { decimalsFor } from './show.ts';
import type { CalibrateOptions, CalibrationPair } from './types.ts';
import { fitYork } from './york.ts';

const PSI = 6894.757293168361;
const options: CalibrateOptions = {
  channel: 'pressure',
  raw: 'V',
  units: 'us',
  use: { from: 20 * PSI, to: 60 * PSI },
};
const ZERO_V = 0.5;
const VOLT_PER_PSI = 4 / 150;

const pair = (psi: number, over: Partial<CalibrationPair> = {}, offPsi = 0): CalibrationPair => ({
  raw: ZERO_V + VOLT_PER_PSI * (psi + offPsi),
  rawStd: 0.002,
  reference: psi * PSI,
  referenceStd: 0.3 * PSI,
  atS: null,
  ...over,
});
const ids = (pairs: CalibrationPair[], over: Partial<CalibrateOptions> = {}) =>
  calibrate(pairs, { ...options, ...over }).refusals.map(({ id }) => id);
const LEVELS = [0, 15, 30, 45, 60];
const good = LEVELS.map((psi) => pair(psi));

describe('a line both ways uncertain', () => {
  const point = fc.record({
    x: evenly(0, 10),
    off: evenly(-1, 1),
    xStd: evenly(0.01, 0.3),
    yStd: evenly(0.01, 0.3),
  });
  const clouds = fc
    .array(point, { minLength: 3, maxLength: 12 })
    .map((list) => list.map((one, i) => ({ ...one, x: one.x + 3 * i })));
  const pointsOf = (list: { x: number; off: number; xStd: number; yStd: number }[]) => ({
    x: list.map(({ x }) => x),
    y: list.map(({ x, off, yStd }) => 2 + 1.5 * x + off * yStd),
    xStd: list.map(({ xStd }) => xStd),
    yStd: list.map(({ yStd }) => yStd),
  });

  it('is the weighted line where the raw values are sure', () => {
    fc.assert(
      fc.property(clouds, (list) => {
        const { x, y, yStd } = pointsOf(list);
        const york = fitYork({ x, y, xStd: x.map(() => 0), yStd }).line;
        const plain = fitLine({ x, y, yStd });
        expect(york.slope).toBeCloseTo(plain.slope, 9);
        expect(york.intercept).toBeCloseTo(plain.intercept, 8);
      }),
    );
  });

  it('is the same line with both axes exchanged', () => {
    fc.assert(
      fc.property(clouds, (list) => {
        const { x, y, xStd, yStd } = pointsOf(list);
        const there = fitYork({ x, y, xStd, yStd });
        const back = fitYork({ x: y, y: x, xStd: yStd, yStd: xStd });
        expect(there.line.slope * back.line.slope).toBeCloseTo(1, 8);
        expect(there.chiSquare).toBeCloseTo(back.chiSquare, 6);
      }),
    );
  });

  it('lies at the least of its chi-square', () => {
    fc.assert(
      fc.property(clouds, (list) => {
        const { x, y, xStd, yStd } = pointsOf(list);
        const { line, chiSquare } = fitYork({ x, y, xStd, yStd });
        const at = (slope: number, intercept: number) =>
          x.reduce((sum, xi, i) => {
            const variance = yStd[i]! ** 2 + (slope * xStd[i]!) ** 2;
            return sum + (y[i]! - intercept - slope * xi) ** 2 / variance;
          }, 0);
        expect(at(line.slope, line.intercept)).toBeCloseTo(chiSquare, 7);
        for (const d of [-1e-3, 1e-3]) {
          expect(at(line.slope + d, line.intercept - d * x[1]!)).toBeGreaterThanOrEqual(
            chiSquare - 1e-9,
          );
          expect(at(line.slope, line.intercept + d)).toBeGreaterThanOrEqual(chiSquare - 1e-9);
        }
      }),
    );
  });

  it('does not depend on where its intercept is taken', () => {
    const points = pointsOf([
      { x: 0, off: 1, xStd: 0.1, yStd: 0.2 },
      { x: 3, off: -1, xStd: 0.2, yStd: 0.1 },
      { x: 9, off: 0.4, xStd: 0.1, yStd: 0.1 },
    ]);
    const near = fitYork(points).line;
    const far = fitYork(points, 100).line;
    expect(valueAt(far, 5)).toBeCloseTo(valueAt(near, 5), 10);
    expect(stdAt(far, 5)).toBeCloseTo(stdAt(near, 5), 10);
  });

  it('covers the truth about as often as it says', () => {
    // Noise from a small generator with a fixed seed; 1000 calibrations of six points.
    let state = 12_345;
    const uniform = () => {
      state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
      return (state + 0.5) / 2 ** 32;
    };
    const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
    let within = 0;
    for (let trial = 0; trial < 1000; trial++) {
      const xTrue = [0, 2, 4, 6, 8, 10];
      const { line } = fitYork({
        x: xTrue.map((x) => x + 0.05 * normal()),
        y: xTrue.map((x) => 1 + 2 * x + 0.1 * normal()),
        xStd: xTrue.map(() => 0.05),
        yStd: xTrue.map(() => 0.1),
      });
      if (Math.abs(valueAt(line, 7) - 15) < 2 * stdAt(line, 7)) within++;
    }
    // 95.4 % within two standard deviations, give or take 0.7 % for 1000 trials.
    expect(within).toBeGreaterThan(935);
    expect(within).toBeLessThan(972);
  });
});

describe('what is refused', () => {
  it('nothing of good points', () => {
    const report = calibrate(good, options);
    expect(report.refusals).toEqual([]);
    expect(valueAt(report.line!, 0.5) / PSI).toBeCloseTo(0, 9);
    expect(valueAt(report.line!, 2.1) / PSI).toBeCloseTo(60, 9);
    expect(report.residuals).toHaveLength(5);
  });

  it('one point, and none', () => {
    expect(ids([pair(40)])).toEqual(['one-point']);
    expect(ids([])).toEqual(['one-point']);
    const { line, next } = calibrate([pair(40)], options);
    expect(line).toBeNull();
    expect(next!.value).toBe(0);
    expect(calibrate([pair(0)], options).next!.value / PSI).toBeCloseTo(60, 9);
  });

  it('points nearer together than four times their doubt, on either side', () => {
    const std = 0.3 * PSI;
    const near = (times: number) => [pair(40), pair(40 + 1.2 * times)];
    expect(ids(near(0.999), { use: null })).toEqual(['no-spread']);
    expect(ids(near(1.001), { use: null })).toEqual([]);
    expect(calibrate(near(0.999), options).refusals[0]).toMatchObject({ limit: 4 * std });
    const rawStd = (times: number) => good.map((one) => ({ ...one, rawStd: (1.6 / 4) * times }));
    expect(ids(rawStd(1.001))).toEqual(['no-spread']);
    expect(ids(rawStd(0.999))).not.toContain('no-spread');
    expect(ids([pair(40), pair(40)])).toEqual(['no-spread']);
  });

  it('what is no number', () => {
    expect(ids([pair(0), pair(40, { raw: Number.NaN }), pair(60)])).toEqual(['unusable-value']);
    expect(calibrate([pair(Number.NaN)], options).line).toBeNull();
  });

  it('an outlier among five, by name, and leaves it in', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 4 }), fc.boolean(), (place, isUp) => {
        const with_ = (offPsi: number) =>
          LEVELS.map((psi, i) => pair(psi, {}, i === place ? (isUp ? offPsi : -offPsi) : 0));
        const report = calibrate(with_(6), options);
        expect(report.refusals.map(({ id }) => id)).toEqual(['outlier']);
        expect(report.refusals[0]?.says).toContain(`point ${place + 1} `);
        expect(report.residuals).toHaveLength(5);
        expect(report.widenedBy).toBeGreaterThan(1);
        expect(report.coverage).toBeCloseTo(3.31, 2);
        expect(ids(with_(0.3))).toEqual([]);
      }),
    );
  });

  it('scatter of three points, of which none can be named', () => {
    const off = (psi: number) => [pair(0), pair(30, {}, psi), pair(60)];
    expect(ids(off(5))).toEqual(['scatter']);
    expect(ids(off(0.4))).toEqual([]);
  });

  it('a sensor that bows, and not one that does not', () => {
    const bowed = (psi: number) =>
      [0, 10, 20, 30, 40, 50, 60].map((at) => pair(at, {}, psi * (1 - ((at - 30) / 30) ** 2)));
    expect(ids(bowed(4))).toEqual(['not-straight']);
    expect(ids(bowed(0.2))).toEqual([]);
  });

  it('points that drift while they are taken', () => {
    // Up and down, ten minutes apart; psi an hour.
    const walk = [0, 20, 40, 60, 60, 40, 20, 0];
    const drifting = (perHour: number) =>
      walk.map((psi, i) => pair(psi, { atS: 1000 + 600 * i }, (perHour * i) / 6));
    expect(ids(drifting(3))).toEqual(['drift-between-points']);
    expect(calibrate(drifting(3), options).refusals[0]?.says).toMatch(/-3 psi an hour/);
    expect(ids(drifting(0.1))).toEqual([]);
  });

  it('use far outside the span', () => {
    const upTo = (psi: number) => ids(good, { use: { from: 0, to: psi * PSI } });
    expect(upTo(74)).toEqual([]);
    expect(upTo(76)).toEqual(['use-beyond-span']);
    const high = [30, 40, 50, 60].map((psi) => pair(psi));
    expect(ids(high, { use: { from: 23 * PSI, to: 60 * PSI } })).toEqual([]);
    expect(ids(high, { use: { from: 22 * PSI, to: 60 * PSI } })).toEqual(['use-beyond-span']);
  });

  it('is rarely anything of points that are as good as they say', () => {
    let state = 99;
    const uniform = () => {
      state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
      return (state + 0.5) / 2 ** 32;
    };
    const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
    let refused = 0;
    for (let trial = 0; trial < 400; trial++) {
      const pairs = [0, 10, 20, 30, 40, 50, 60].map((psi, i) => ({
        ...pair(psi, { atS: 60 * ((i * 3) % 7) }),
        raw: ZERO_V + VOLT_PER_PSI * psi + 0.002 * normal(),
        reference: (psi + 0.3 * normal()) * PSI,
      }));
      if (ids(pairs).length > 0) refused++;
    }
    // Four tests at one in a hundred each.
    expect(refused / 400).toBeLessThan(0.06);
  });
});

it('knows the values that chi-square exceeds once in a hundred', () => {
  // Table of the distribution (from memory): 1, 2, 5, 10 and 30 degrees of freedom.
  for (const [n, value] of [
    [1, 6.635],
    [2, 9.21],
    [5, 15.086],
    [10, 23.209],
    [30, 50.892],
  ] as const) {
    expect(Math.abs(chiSquareLimit(n) / value - 1)).toBeLessThan(0.02);
  }
});

describe('digits', () => {
  it('end where the uncertainty begins', () => {
    // ±2 std: 0.3 one decimal, 0.012 three (begins with 1), 40 tens.
    expect(decimalsFor(0.15)).toBe(1);
    expect(decimalsFor(0.006)).toBe(3);
    expect(decimalsFor(20)).toBe(-1);
  });
  it('come in the unit people read', () => {
    const { digits } = calibrate(good, options);
    expect(digits).toMatchObject({ unit: 'psi', decimals: 1 });
    expect(digits?.says).toMatch(/^at best ±0.[2-9]\d* psi: show steps of 0.1 psi$/);
    // No finer than the best of the points.
    const best = Math.min(...good.map(({ raw }) => stdAt(calibrate(good, options).line!, raw)));
    expect(Number(/±([\d.]+)/.exec(digits!.says)?.[1])).toBeCloseTo((2 * best) / PSI, 2);
    const fine = good.map((one) => ({ ...one, rawStd: 0, referenceStd: 0.001 * PSI }));
    expect(calibrate(fine, options).digits).toMatchObject({ decimals: 4 });
    const coarse = [0, 60].map((psi) => pair(psi, { rawStd: 0, referenceStd: 8 * PSI }));
    expect(calibrate(coarse, options).digits?.says).toMatch(/steps of 1 psi/);
    expect(calibrate(good, { ...options, units: 'si' }).digits).toMatchObject({ unit: 'kPa' });
    expect(calibrate([pair(0)], options).digits).toBeNull();
  });
});

describe('the next point', () => {
  it('lies between two, to see whether the sensor is straight', () => {
    const { next } = calibrate([pair(0), pair(60)], options);
    expect(next!.value / PSI).toBeCloseTo(30, 6);
    expect(next!.raw).toBeCloseTo(ZERO_V + VOLT_PER_PSI * 30, 6);
  });

  it('of two points that do not span the use is where the uncertainty falls most', () => {
    const near = [pair(40), pair(50)];
    const { next, refusals } = calibrate(near, options);
    expect(refusals.map(({ id }) => id)).toEqual(['use-beyond-span']);
    const worst = (pairs: CalibrationPair[]) =>
      Math.max(...calibrate(pairs, options).uncertainties.map(({ std }) => std));
    const others = [0, 10, 20, 30, 45, 60].map((psi) => worst([...near, pair(psi)]));
    expect(worst([...near, pair(next!.value / PSI)])).toBeLessThanOrEqual(
      Math.min(...others) * (1 + 1e-9),
    );
  });

  it('tells the greatest uncertainty before and after, for the middle of two as well', () => {
    for (const levels of [
      [0, 60],
      [40, 50],
      [0, 20, 40],
    ]) {
      const sure = (psi: number) => pair(psi, { rawStd: 0 });
      const { next, uncertainties } = calibrate(levels.map(sure), options);
      const again = calibrate([...levels, next!.value / PSI].map(sure), options).uncertainties;
      const worst = (list: typeof uncertainties) => Math.max(...list.map(({ std }) => std));
      expect(next!.helps!.stdNow / worst(uncertainties)).toBeCloseTo(1, 9);
      expect(next!.helps!.stdThen / worst(again)).toBeCloseTo(1, 9);
      const [, from, to] = /falls from ±([\d.]+) psi to ±([\d.]+) psi$/.exec(next!.says) ?? [];
      expect(Number(from)).toBeCloseTo((2 * worst(uncertainties)) / PSI, 1);
      expect(Number(to)).toBeCloseTo((2 * worst(again)) / PSI, 1);
    }
    const unsure = [0, 60].map((psi) => pair(psi, { rawStd: 0, referenceStd: Number.NaN }));
    expect(calibrate(unsure, options).next).toMatchObject({ helps: null });
    expect(calibrate(unsure, options).next?.says).not.toMatch(/NaN|falls/);
  });

  it('is the best of all within reach, by fitting again with each', () => {
    const low = [pair(0), pair(10), pair(20), pair(30)];
    const { next } = calibrate(low, options);
    const worstWith = (psi: number) => {
      const { uncertainties } = calibrate([...low, pair(psi)], options);
      return Math.max(...uncertainties.map(({ std }) => std));
    };
    const best = worstWith(next!.value / PSI);
    for (let psi = 0; psi <= 60; psi += 5) {
      expect(best).toBeLessThanOrEqual(worstWith(psi) * (1 + 1e-6));
    }
    const { uncertainties } = calibrate(low, options);
    expect(best).toBeLessThan(Math.max(...uncertainties.map(({ std }) => std)));
  });

  it('helps as much as it says, more than any other within reach, by fitting again', () => {
    const exact = (psi: number) => pair(psi, { rawStd: 0 });
    const spread = fc.uniqueArray(fc.integer({ min: 0, max: 12 }), { minLength: 3, maxLength: 6 });
    const ends = fc.tuple(fc.integer({ min: 0, max: 60 }), fc.integer({ min: 5, max: 60 }));
    fc.assert(
      fc.property(spread, ends, (steps, [from, length]) => {
        const levels = steps.map((step) => 5 * step);
        fc.pre(Math.max(...levels) - Math.min(...levels) >= 10);
        const use = { from: from * PSI, to: (from + length) * PSI };
        const at = { ...options, use };
        const worst = (more: number[]) => {
          const report = calibrate([...levels, ...more].map(exact), at);
          return Math.max(...report.uncertainties.map(({ std }) => std));
        };
        const { next } = calibrate(levels.map(exact), at);
        if (next === null || next.helps === null) return;
        expect(next.helps.stdNow / worst([])).toBeCloseTo(1, 8);
        expect(next.helps.stdThen / worst([next.value / PSI])).toBeCloseTo(1, 8);
        // The middle of two is for the straightness, not for the least uncertainty.
        if (next.says.includes('between the two')) return;
        const top = Math.max(...levels, from + length);
        for (let part = 0; part <= 10; part++) {
          const other = worst([(top * part) / 10]);
          // The points tried are an eightieth of the reach apart.
          expect(next.helps.stdThen).toBeLessThanOrEqual(other * 1.001);
        }
      }),
    );
  });

  it('is none where one more would hardly help', () => {
    const many = Array.from({ length: 120 }, (_, i) => pair((i % 13) * 5));
    expect(calibrate(many, options).next).toBeNull();
    expect(calibrate(many.slice(0, 13), options).next).not.toBeNull();
  });

  it('takes points a tenth of the span apart for different ones', () => {
    const third = (psi: number) => calibrate([pair(0), pair(psi), pair(60)], options).next;
    expect(third(5.9)!.says).toContain('between the two');
    expect(third(6.1)?.says ?? '').not.toContain('between the two');
    expect(third(54.1)!.says).toContain('between the two');
  });

  it('lies far from points that are too near together, on the side with more room', () => {
    const near = (psi: number) => calibrate([pair(psi), pair(psi + 0.5)], options).next;
    expect(near(50)!.value).toBe(0);
    expect(near(10)!.value / PSI).toBeCloseTo(60, 9);
    expect(near(29)!.value / PSI).toBeCloseTo(60, 9);
    expect(near(31)!.value).toBe(0);
    expect(calibrate([pair(0)], { ...options, use: null }).next).toBeNull();
  });

  it('stays within the reach that is told', () => {
    const { next } = calibrate([pair(0), pair(10), pair(20), pair(30)], {
      ...options,
      reach: { from: 0, to: 45 * PSI },
    });
    expect(next!.value).toBeLessThanOrEqual(45 * PSI);
  });
});

it('tells span and freedom with and without a line', () => {
  const { span, degreesOfFreedom } = calibrate(good, options);
  expect(span).toEqual({ from: 0, to: 60 * PSI });
  expect(degreesOfFreedom).toBe(3);
  const none = calibrate([pair(40)], options);
  expect(none).toMatchObject({ degreesOfFreedom: -1, widenedBy: 1, residuals: [], digits: null });
  expect(none.span).toEqual({ from: 40 * PSI, to: 40 * PSI });
  expect(calibrate([], options).span).toBeNull();
});

it('weighs by what is told of each point', () => {
  const weighted = (over: Partial<CalibrationPair>[]) =>
    calibrate(
      good.map((one, i) => ({ ...one, ...over[i % over.length] })),
      options,
    ).weighted;
  expect(weighted([{}])).toBe('both');
  expect(weighted([{ rawStd: 0 }])).toBe('reference');
  expect(weighted([{ rawStd: Number.NaN }])).toBe('reference');
  expect(weighted([{ referenceStd: 0 }])).toBe('both');
  expect(weighted([{ rawStd: 0 }, {}])).toBe('both');
  expect(weighted([{ rawStd: 0, referenceStd: 0 }, {}])).toBe('none');
});

it('gives residuals as the figure shows them: reference minus line, with their own doubt', () => {
  const { residuals, line, widenedBy } = calibrate(
    LEVELS.map((psi, i) => pair(psi, {}, i === 1 ? 0.5 : 0)),
    options,
  );
  expect(widenedBy).toBe(1);
  for (const { raw, reference, residual, std } of residuals) {
    expect(residual).toBeCloseTo(reference - valueAt(line!, raw), 9);
    expect(std).toBeCloseTo(Math.hypot(0.3 * PSI, line!.slope * 0.002), 6);
  }
});

it('without any uncertainty told, takes it from the scatter', () => {
  const bare = good.map((one, i) => ({
    ...one,
    rawStd: 0,
    referenceStd: Number.NaN,
    reference: one.reference + (i % 2 === 0 ? 1000 : -1000),
  }));
  const report = calibrate(bare, options);
  expect(report.weighted).toBe('none');
  expect(report.chiSquare).toBeNaN();
  // GUM Table G.2, 95.45 %: 3 degrees of freedom 3.31, 1 degree 13.97 (from memory).
  expect(report.coverage).toBeCloseTo(3.31, 2);
  expect(calibrate(bare.slice(0, 3), options).coverage).toBeCloseTo(13.97, 2);
  expect(calibrate(good, options).coverage).toBeCloseTo(2, 3);
  expect(report.uncertainties.every(({ std }) => std > 300 && std < 3000)).toBe(true);
});

it('carries the cautions of taking the points, and below cut-in those of an empty tank', () => {
  const acts = (pairs: CalibrationPair[]) => calibrate(pairs, options);
  const above = acts([pair(0), pair(10), pair(20), pair(30)]);
  expect(above.next!.value).toBeGreaterThanOrEqual(20 * PSI);
  expect(above.cautions).toEqual(ACT_CAUTIONS['compare-pressure-gauge']);
  const zero = [...ACT_CAUTIONS['compare-pressure-gauge'], ...ACT_CAUTIONS['check-pressure-zero']];
  for (const pairs of [[pair(40), pair(50), pair(60)], [pair(50)]]) {
    expect(acts(pairs).next!.value).toBeLessThan(20 * PSI);
    expect(acts(pairs).cautions).toEqual(zero);
  }
  const amps = calibrate(good, { ...options, channel: 'current', use: null });
  expect(amps.cautions).toContain('mains-by-electrician');
});
