import { knownOf } from '../../src/analysis/estimation/state.ts';
import { createTankGas } from '../../src/analysis/estimation/tank-gas.ts';
import type { Before, Job } from '../../src/analysis/owner-tests/types.ts';
import type { OtherTest } from '../../src/model/well.ts';
import { wellOf } from './rehearsed-log.ts';

export const PSI_PA = 6894.757293168361;
export const GALLON_M3 = 0.003785411784;
export const GPM = GALLON_M3 / 60;

/** One reading of a well made by formula alone: s, psi gauge, A, pump on. */
export type Reading = [timeS: number, psi: number, amps: number, on: boolean];

const BEFORE: Before = {
  b0: 0.7,
  b1: -0.07,
  relStd: 0.01,
  slopeRelStd: 0.1,
  learntB0: 0.7,
  learntRelStd: 0.01,
  lossPerMin: 0,
  lossStd: 1e-5,
  cutInPaGauge: 40 * PSI_PA,
  cutOutPaGauge: 60 * PSI_PA,
  a0: 8,
  a1: -0.1,
  frictionPa: 0,
  tankFactor: 1,
  lastStopS: NaN,
};

/** A test of the well file with these readings; the gas keeps the temperature of its wall. */
export function jobOf(asked: {
  test: OtherTest;
  readings: readonly Reading[];
  tankPsiGal?: number;
  toml?: string;
  before?: Partial<Before>;
  noisePsi?: number;
}): Job {
  const { test, readings, tankPsiGal = NaN, toml = '', before = {}, noisePsi = 0.02 } = asked;
  const known = knownOf(wellOf(`name = "Formula"\naltitude = "0 ft"\n${toml}`), 0);
  const shares = createTankGas().shares.map(() => 0);
  const bins = readings.flatMap(([timeS, psi, amps, on]) => [
    timeS,
    psi * PSI_PA + known.atmospherePa,
    amps,
    on ? 1 : 0,
    1,
  ]);
  const all = { ...BEFORE, ...before };
  return {
    test,
    record: { index: 0, binS: 1, bins, before: all, shares, isClosed: true },
    before: all,
    known,
    tankConstantPaM3: tankPsiGal * PSI_PA * GALLON_M3,
    tankRelStd: 0.02,
    noise: { restPa: noisePsi * PSI_PA, runningPa: noisePsi * PSI_PA },
  };
}

/** Even scatter of the given size, the same in every run. */
export const scatter = (i: number, size: number): number => size * Math.sin(12.9898 * i * i);
