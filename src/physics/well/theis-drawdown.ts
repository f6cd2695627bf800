import { wellFunction } from './well-function.ts';

/**
 * Drawdown around a well that pumps steadily from a confined aquifer without end.
 * @param test.flowM3PerS [m3/s], 0 or more
 * @param test.transmissivityM2PerS [m2/s], above 0
 * @param test.storativity [-], above 0
 * @param test.radiusM distance from the well [m], above 0
 * @param test.timeS since pumping began [s], above 0
 * @returns [m]; NaN outside the range
 * Reference: [theis-1935].
 */
export function theisDrawdownM(test: {
  flowM3PerS: number;
  transmissivityM2PerS: number;
  storativity: number;
  radiusM: number;
  timeS: number;
}): number {
  const { flowM3PerS, transmissivityM2PerS, storativity, radiusM, timeS } = test;
  if (!(flowM3PerS >= 0 && transmissivityM2PerS > 0 && storativity > 0)) return Number.NaN;
  if (!(radiusM > 0 && timeS > 0)) return Number.NaN;
  const u = (radiusM ** 2 * storativity) / (4 * transmissivityM2PerS * timeS);
  return (flowM3PerS / (4 * Math.PI * transmissivityM2PerS)) * wellFunction(u);
}
