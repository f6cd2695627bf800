import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { affinityFlowM3PerS } from './affinity-flow.ts';
import { affinityHeadM } from './affinity-head.ts';
import { affinityPowerW } from './affinity-power.ts';
import { headFromGenericCurveM } from './head-from-generic-curve.ts';
import { headFromPointsM } from './head-from-points.ts';
import { hydraulicPowerW } from './hydraulic-power.ts';
import { shaftPowerGenericW } from './shaft-power-generic.ts';

const ratio = fc.double({ min: 0, max: 1.75, noNaN: true });

describe('generic pump', () => {
  const pump = { ratedFlowM3PerS: 6.3e-4, shutOffHeadM: 130 };
  const head = (x: number) =>
    headFromGenericCurveM({ ...pump, flowM3PerS: x * pump.ratedFlowM3PerS });

  it('has less head at more flow, and its shut-off head at none', () => {
    fc.assert(
      fc.property(ratio, ratio, (a, b) => {
        expect(head(Math.min(a, b))).toBeGreaterThanOrEqual(head(Math.max(a, b)));
      }),
    );
    expect(head(0)).toBe(130);
  });

  it('has its best efficiency near the rated flow', () => {
    const efficiency = (x: number) => {
      const flowM3PerS = x * pump.ratedFlowM3PerS;
      const water = hydraulicPowerW({ flowM3PerS, headM: head(x), densityKgPerM3: 1000 });
      return water / shaftPowerGenericW({ ...pump, flowM3PerS, shaftPowerAtRatedW: 1000 });
    };
    const flows = Array.from({ length: 170 }, (_, i) => i / 100);
    const best = flows.reduce((a, b) => (efficiency(b) > efficiency(a) ? b : a));
    expect(best).toBeGreaterThan(0.9);
    expect(best).toBeLessThan(1.15);
  });
});

describe('curve through points', () => {
  const curve = fc
    .array(
      fc.tuple(
        fc.double({ min: 0.1, max: 5, noNaN: true }),
        fc.double({ min: 0, max: 9, noNaN: true }),
      ),
      {
        minLength: 2,
        maxLength: 8,
      },
    )
    .map((steps) => {
      let [flowM3PerS, headM] = [0, 100];
      return steps.map(([wider, lower]) => {
        const point = { flowM3PerS, headM };
        flowM3PerS += wider;
        headM -= lower;
        return point;
      });
    });

  it('goes through its points and never rises between them', () => {
    fc.assert(
      fc.property(curve, fc.double({ min: 0, max: 1, noNaN: true }), (points, share) => {
        for (const { flowM3PerS, headM } of points) {
          expect(headFromPointsM(flowM3PerS, points)).toBeCloseTo(headM, 9);
        }
        const end = points.at(-1)?.flowM3PerS ?? 0;
        const here = headFromPointsM(share * end, points);
        expect(headFromPointsM(Math.min(end, share * end + 0.01), points)).toBeLessThanOrEqual(
          here + 1e-9,
        );
      }),
    );
  });
});

describe('affinity laws', () => {
  const speed = fc.double({ min: 0.5, max: 2, noNaN: true });

  it('keep the efficiency and undo themselves', () => {
    fc.assert(
      fc.property(speed, (k) => {
        const [flow, head, power] = [6e-4, 90, 800];
        const before = flow * head * (1 / power);
        const after =
          (affinityFlowM3PerS(flow, k) * affinityHeadM(head, k)) / affinityPowerW(power, k);
        expect(after).toBeCloseTo(before, 12);
        expect(affinityPowerW(affinityPowerW(power, k), 1 / k)).toBeCloseTo(power, 9);
      }),
    );
  });
});
