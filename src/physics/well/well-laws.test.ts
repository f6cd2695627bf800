import cephes from 'cephes';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { casingAreaM2 } from './casing-area.ts';
import { casingStorageDrawdownM } from './casing-storage-drawdown.ts';
import { superposedDrawdownM } from './superposed-drawdown.ts';
import { theisDrawdownM } from './theis-drawdown.ts';
import { theisRecoveryM } from './theis-recovery.ts';
import { wellFunction } from './well-function.ts';

const off = (found: number, wanted: number) => Math.abs(found / wanted - 1);

describe('laws of the well formulas', () => {
  it('W(u) agrees with the exponential integral of the cephes library', async () => {
    await cephes.compiled;
    fc.assert(
      fc.property(fc.double({ min: -14, max: 2, noNaN: true }), (exponent) => {
        const u = 10 ** exponent;
        expect(off(wellFunction(u), cephes.expn(1, u))).toBeLessThan(1e-12);
      }),
    );
  });

  const aquifer = fc.record({
    transmissivityM2PerS: fc.double({ min: 1e-6, max: 1e-1, noNaN: true }),
    storativity: fc.double({ min: 1e-6, max: 0.3, noNaN: true }),
    radiusM: fc.double({ min: 0.05, max: 500, noNaN: true }),
  });
  const flow = fc.double({ min: 1e-5, max: 1e-1, noNaN: true });
  const time = fc.double({ min: 1, max: 1e7, noNaN: true });

  it('drawdown grows with time and shrinks with distance', () => {
    fc.assert(
      fc.property(aquifer, flow, time, (at, flowM3PerS, timeS) => {
        const here = theisDrawdownM({ ...at, flowM3PerS, timeS });
        const later = theisDrawdownM({ ...at, flowM3PerS, timeS: 1.5 * timeS });
        const farther = theisDrawdownM({ ...at, flowM3PerS, timeS, radiusM: 1.5 * at.radiusM });
        expect(later).toBeGreaterThanOrEqual(here);
        expect(farther).toBeLessThanOrEqual(here);
        expect(here).toBeGreaterThanOrEqual(0);
      }),
    );
  });

  it('one step is Theis, and the same rate twice is one step', () => {
    fc.assert(
      fc.property(aquifer, flow, time, (at, flowM3PerS, timeS) => {
        const once = theisDrawdownM({ ...at, flowM3PerS, timeS });
        const one = superposedDrawdownM([{ fromS: 0, flowM3PerS }], { ...at, timeS });
        const again = [
          { fromS: 0, flowM3PerS },
          { fromS: timeS / 3, flowM3PerS },
        ];
        expect(one).toBe(once);
        expect(superposedDrawdownM(again, { ...at, timeS })).toBe(once);
      }),
    );
  });

  it('a recovering well comes back towards its rest level', () => {
    fc.assert(
      fc.property(aquifer, flow, time, (at, flowM3PerS, pumpedS) => {
        const residual = (sinceStopS: number) =>
          theisRecoveryM({ ...at, flowM3PerS, pumpedS, sinceStopS });
        const scale = flowM3PerS / (4 * Math.PI * at.transmissivityM2PerS);
        expect(residual(1e12)).toBeLessThan(1e-4 * scale + 1e-3 * residual(pumpedS));
        expect(residual(pumpedS)).toBeGreaterThanOrEqual(0);
      }),
    );
  });

  it('a casing gives its own water first and the aquifer everything in the end', () => {
    const well = {
      flowM3PerS: 6.3e-4,
      specificCapacityM2PerS: 2e-5,
      casingAreaM2: casingAreaM2(0.1524),
    };
    const early = casingStorageDrawdownM({ ...well, timeS: 1 });
    expect(off(early, well.flowM3PerS / well.casingAreaM2)).toBeLessThan(1e-3);
    const late = casingStorageDrawdownM({ ...well, timeS: 1e6 });
    expect(off(late, well.flowM3PerS / well.specificCapacityM2PerS)).toBeLessThan(1e-12);
  });

  it('keeps the water balance: pumped = from the casing + from the aquifer', () => {
    const well = {
      flowM3PerS: 6.3e-4,
      specificCapacityM2PerS: 2e-5,
      casingAreaM2: casingAreaM2(0.1524),
    };
    const endS = 1200;
    const parts = 2000;
    const drawdowns = Array.from({ length: parts + 1 }, (_, i) =>
      casingStorageDrawdownM({ ...well, timeS: (endS * i) / parts }),
    );
    const last = drawdowns.at(-1) ?? Number.NaN;
    const trapezoid = drawdowns.reduce((sum, s) => sum + s, 0) - last / 2;
    const inflowM3 = (well.specificCapacityM2PerS * trapezoid * endS) / parts;
    expect(off(inflowM3 + well.casingAreaM2 * last, well.flowM3PerS * endS)).toBeLessThan(1e-6);
  });
});
