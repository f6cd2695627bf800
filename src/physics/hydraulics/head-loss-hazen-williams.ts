const FOOT_M = 0.3048;
// The published factor, 4.727, is for feet and cubic feet a second.
const SI_FACTOR = (4.727 * FOOT_M ** 4.871) / FOOT_M ** (3 * 1.852);

/**
 * Head lost to friction by water in a full round pipe, turbulent and near room temperature.
 * @param pipe.flowM3PerS [m3/s], 0 or more
 * @param pipe.coefficient Hazen-Williams C [-], above 0; 140 to 150 plastic, 130 copper,
 *   100 to 120 old steel
 * @param pipe.insideDiameterM [m], above 0
 * @param pipe.lengthM [m], 0 or more
 * @returns [m of water]; NaN outside the range
 * Reference: [epanet2-manual], Table 3.1.
 */
export function headLossHazenWilliamsM(pipe: {
  flowM3PerS: number;
  coefficient: number;
  insideDiameterM: number;
  lengthM: number;
}): number {
  const { flowM3PerS, coefficient, insideDiameterM, lengthM } = pipe;
  if (!(flowM3PerS >= 0 && coefficient > 0 && insideDiameterM > 0 && lengthM >= 0)) {
    return Number.NaN;
  }
  const slope = SI_FACTOR * (flowM3PerS / coefficient) ** 1.852 * insideDiameterM ** -4.871;
  return slope * lengthM;
}
