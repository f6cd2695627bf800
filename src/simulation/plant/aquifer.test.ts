import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type AquiferDesign, createAquifer } from './aquifer.ts';

interface PumpingTest {
  name: string;
  flowM3PerS: number;
  transmissivityM2PerS: number;
  storativity: number;
  rmseM: number;
  wells: { radiusM: number; timeS: number[]; drawdownM: number[] }[];
}
const vectors: { theis: { rows: { u: number; w: number }[] }; tests: PumpingTest[] } = JSON.parse(
  readFileSync(new URL('./pumping-tests.vectors.json', import.meta.url), 'utf8'),
);

/** A bore thin as a line in an aquifer wide enough that its edge is never felt. */
function lineSource(of: { transmissivityM2PerS: number; storativity: number }, shells: number) {
  const design: AquiferDesign = {
    ...of,
    boreRadiusM: 0.02,
    rechargeRadiusM: 2e5,
    shells,
    casingAreaM2: 1e-5,
    skinSPerM2: 0,
    turbulenceS2PerM5: 0,
  };
  return createAquifer(design);
}
const open = { fractureM: Number.POSITIVE_INFINITY, skinFactor: 1 };

/** Drawdown at radii, row by time, of a pumping test at steady flow. */
function drawdowns(test: PumpingTest, radiiM: number[], timesS: number[]): number[][] {
  const shells = 300;
  const aquifer = lineSource(test, shells);
  const ratio = (2e5 / 0.02) ** (1 / shells);
  const state = aquifer.create();
  let t = 0;
  return timesS.map((timeS) => {
    while (t < timeS - 1e-9) {
      const dtS = Math.min(Math.max(0.02 * t, 0.05), timeS - t);
      aquifer.step(state, test.flowM3PerS, dtS, open);
      t += dtS;
    }
    return radiiM.map((r) => {
      const place = Math.log(r / 0.02) / Math.log(ratio) - 0.5;
      const i = Math.floor(place);
      return state.shellM[i]! + (place - i) * (state.shellM[i + 1]! - state.shellM[i]!);
    });
  });
}

describe('the aquifer', () => {
  it.for(vectors.theis.rows)(
    'draws down as Theis has it at u $u',
    async ({ u, w }, { annotate }) => {
      const test = { ...vectors.tests[0]!, transmissivityM2PerS: 1e-3, storativity: 1e-4 };
      const timeS = (50 ** 2 * 1e-4) / (4 * 1e-3 * u);
      const seen = drawdowns(test, [50], [timeS])[0]![0]!;
      const theis = (test.flowM3PerS / (4 * Math.PI * 1e-3)) * w;
      await annotate(`${(100 * (seen / theis - 1)).toFixed(2)} %`);
      expect(Math.abs(seen / theis - 1)).toBeLessThan(0.005);
    },
  );
  it.for(vectors.tests)(
    'follows the pumping test of $name as its Theis fit does',
    async (test, { annotate }) => {
      const radii = test.wells.map((well) => well.radiusM);
      const times = [...new Set(test.wells.flatMap((well) => well.timeS))].sort((a, b) => a - b);
      const seen = drawdowns(test, radii, times);
      const misses = test.wells.flatMap((well, k) =>
        well.timeS.map((t, i) => seen[times.indexOf(t)]![k]! - well.drawdownM[i]!),
      );
      const rmse = Math.sqrt(misses.reduce((sum, m) => sum + m * m, 0) / misses.length);
      expect(misses.length).toBeGreaterThan(20);
      await annotate(`rms miss ${rmse.toFixed(4)} m, that of the fit ${test.rmseM} m`);
      expect(Math.abs(rmse - test.rmseM)).toBeLessThan(0.004);
    },
  );
  it('makes and loses no water', () => {
    const design: AquiferDesign = {
      transmissivityM2PerS: 3e-5,
      storativity: 3e-4,
      boreRadiusM: 0.076,
      rechargeRadiusM: 250,
      shells: 12,
      casingAreaM2: 0.0173,
      skinSPerM2: 2e4,
      turbulenceS2PerM5: 1e7,
    };
    const aquifer = createAquifer(design);
    const state = aquifer.create();
    let taken = 0;
    let recharge = 0;
    for (let i = 0; i < 20_000; i++) {
      const dtS = 0.1 + (i % 9);
      const q = i % 700 < 300 ? 6e-4 : 0;
      aquifer.step(state, q, dtS, {
        fractureM: i % 2000 < 800 ? 12 : 1e9,
        skinFactor: 1 + (i % 3),
      });
      taken += q * dtS;
      recharge += state.rechargeM3PerS * dtS;
    }
    let storage = design.casingAreaM2 * state.casingM;
    state.shellM.forEach((s, i) => {
      storage += aquifer.shellAreaM2[i]! * s;
    });
    expect(taken).toBeGreaterThan(1);
    expect(Math.abs(taken - recharge - storage) / taken).toBeLessThan(1e-10);
  });
  it('lets the level fall at the rate of what the fracture does not give', () => {
    const aquifer = lineSource({ transmissivityM2PerS: 1e-5, storativity: 1e-4 }, 40);
    const state = aquifer.create();
    for (let i = 0; i < 3000; i++) aquifer.step(state, 1e-4, 0.5, { fractureM: 1, skinFactor: 1 });
    const before = state.casingM;
    const yieldM3PerS = state.inflowM3PerS;
    aquifer.step(state, 1e-4, 1, { fractureM: 1, skinFactor: 1 });
    expect(state.casingM - before).toBeCloseTo((1e-4 - yieldM3PerS) / 1e-5, 2);
  });
});
