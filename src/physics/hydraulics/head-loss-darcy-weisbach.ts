import { GRAVITY_M_PER_S2 } from '../constants.ts';

/**
 * Head lost to friction in a full round pipe, any fluid.
 * @param pipe.flowM3PerS [m3/s], 0 or more
 * @param pipe.frictionFactor Darcy friction factor [-], above 0
 * @param pipe.insideDiameterM [m], above 0
 * @param pipe.lengthM [m], 0 or more
 * @returns [m of the fluid]; NaN outside the range
 * Reference: [epanet2-manual], Table 3.1; h = f L/D v2/(2 g).
 */
export function headLossDarcyWeisbachM(pipe: {
  flowM3PerS: number;
  frictionFactor: number;
  insideDiameterM: number;
  lengthM: number;
}): number {
  const { flowM3PerS, frictionFactor, insideDiameterM, lengthM } = pipe;
  if (!(flowM3PerS >= 0 && frictionFactor > 0 && insideDiameterM > 0 && lengthM >= 0)) {
    return Number.NaN;
  }
  const speedMPerS = (4 * flowM3PerS) / (Math.PI * insideDiameterM ** 2);
  const velocityHeadM = speedMPerS ** 2 / (2 * GRAVITY_M_PER_S2);
  return ((frictionFactor * lengthM) / insideDiameterM) * velocityHeadM;
}
