/**
 * Water surface in a well casing: how much water a metre of level is.
 * @param casingInsideDiameterM [m], above 0
 * @param pipeOutsideDiameterM drop pipe that stands in it [m], 0 or more, narrower than the casing
 * @returns [m2]; NaN outside the range
 * Reference: area of a ring; gallons per foot of casing in [driller-casing].
 */
export function casingAreaM2(casingInsideDiameterM: number, pipeOutsideDiameterM = 0): number {
  if (!(pipeOutsideDiameterM >= 0 && casingInsideDiameterM > pipeOutsideDiameterM)) {
    return Number.NaN;
  }
  return (Math.PI / 4) * (casingInsideDiameterM ** 2 - pipeOutsideDiameterM ** 2);
}
