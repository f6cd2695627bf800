import { superposedDrawdownM } from './superposed-drawdown.ts';

/**
 * Residual drawdown after a steady pumping that has stopped.
 * @param test.flowM3PerS while pumping [m3/s], 0 or more
 * @param test.transmissivityM2PerS [m2/s], above 0
 * @param test.storativity [-], above 0
 * @param test.radiusM distance from the well [m], above 0
 * @param test.pumpedS how long it pumped [s], above 0
 * @param test.sinceStopS time since it stopped [s], above 0
 * @returns [m]; NaN outside the range
 * Reference: [theis-1935], recovery; worked example in [todd-1980].
 */
export function theisRecoveryM(test: {
  flowM3PerS: number;
  transmissivityM2PerS: number;
  storativity: number;
  radiusM: number;
  pumpedS: number;
  sinceStopS: number;
}): number {
  const { flowM3PerS, pumpedS, sinceStopS, ...aquifer } = test;
  if (!(pumpedS > 0 && sinceStopS > 0)) return Number.NaN;
  const steps = [
    { fromS: 0, flowM3PerS },
    { fromS: pumpedS, flowM3PerS: 0 },
  ];
  return superposedDrawdownM(steps, { ...aquifer, timeS: pumpedS + sinceStopS });
}
