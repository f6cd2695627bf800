/**
 * Reynolds number of a full round pipe.
 * @param pipe.flowM3PerS [m3/s], 0 or more
 * @param pipe.insideDiameterM [m], above 0
 * @param pipe.kinematicViscosityM2PerS [m2/s], above 0
 * @returns [-]; NaN outside the range
 * Reference: [crane-tp410], Re = velocity * diameter / kinematic viscosity.
 */
export function reynoldsNumber(pipe: {
  flowM3PerS: number;
  insideDiameterM: number;
  kinematicViscosityM2PerS: number;
}): number {
  const { flowM3PerS, insideDiameterM, kinematicViscosityM2PerS } = pipe;
  if (!(flowM3PerS >= 0 && insideDiameterM > 0 && kinematicViscosityM2PerS > 0)) return Number.NaN;
  return (4 * flowM3PerS) / (Math.PI * insideDiameterM * kinematicViscosityM2PerS);
}
