import { GRAVITY_M_PER_S2 } from '../constants.ts';

/**
 * Head lost in a fitting.
 * @param fitting.coefficient loss coefficient K [-], 0 or more
 * @param fitting.flowM3PerS [m3/s], 0 or more
 * @param fitting.insideDiameterM of the pipe that K refers to [m], above 0
 * @returns [m of the fluid]; NaN outside the range
 * Reference: [epanet2-manual], equation 3.2 and Table 3.3 for K; h = K v2/(2 g).
 */
export function minorLossM(fitting: {
  coefficient: number;
  flowM3PerS: number;
  insideDiameterM: number;
}): number {
  const { coefficient, flowM3PerS, insideDiameterM } = fitting;
  if (!(coefficient >= 0 && flowM3PerS >= 0 && insideDiameterM > 0)) return Number.NaN;
  const speedMPerS = (4 * flowM3PerS) / (Math.PI * insideDiameterM ** 2);
  return (coefficient * speedMPerS ** 2) / (2 * GRAVITY_M_PER_S2);
}
