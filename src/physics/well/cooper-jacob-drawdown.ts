/**
 * Drawdown late in a steady pumping test, where it is straight against log time.
 * @param test.flowM3PerS [m3/s], 0 or more
 * @param test.transmissivityM2PerS [m2/s], above 0
 * @param test.storativity [-], above 0
 * @param test.radiusM distance from the well [m], above 0
 * @param test.timeS since pumping began [s], late enough that u = r2 S/(4 T t) is 0.05 or less
 * @returns [m]; NaN outside the range
 * Reference: [cooper-jacob-1946]; at u = 0.05 it is 2 % below the well function.
 */
export function cooperJacobDrawdownM(test: {
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
  if (u > 0.05) return Number.NaN;
  const euler = 0.577_215_664_901_532_9;
  return (flowM3PerS / (4 * Math.PI * transmissivityM2PerS)) * (-euler - Math.log(u));
}
