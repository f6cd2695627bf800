import { GRAVITY_M_PER_S2 } from '../constants.ts';

/**
 * Net positive suction head available at the inlet of a pump that draws from an open well: how far
 * its water is from boiling. It must stay above what the pump's maker asks for.
 * @param suction.surfacePaAbs pressure on the water drawn from, mostly the air's [Pa, absolute],
 *   above 0
 * @param suction.vapourPaAbs pressure at which the water boils [Pa, absolute], 0 or more
 * @param suction.liftM from the water up to the pump [m]; below zero where the water is higher
 * @param suction.lossM friction, fittings and entrance of the suction pipe [m], 0 or more
 * @param suction.densityKgPerM3 [kg/m3], above 0
 * @returns [m of water]; below zero where the water cannot get there; NaN outside the range
 * Reference: [spellman-2013], examples 10.10 and 10.11; [bachus-custodio], chapter 2.
 */
export function netPositiveSuctionHeadM(suction: {
  surfacePaAbs: number;
  vapourPaAbs: number;
  liftM: number;
  lossM: number;
  densityKgPerM3: number;
}): number {
  const { surfacePaAbs, vapourPaAbs, liftM, lossM, densityKgPerM3 } = suction;
  if (!(surfacePaAbs > 0 && vapourPaAbs >= 0 && lossM >= 0 && densityKgPerM3 > 0))
    return Number.NaN;
  return (surfacePaAbs - vapourPaAbs) / (densityKgPerM3 * GRAVITY_M_PER_S2) - liftM - lossM;
}
