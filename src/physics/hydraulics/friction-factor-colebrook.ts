/**
 * Darcy friction factor of turbulent flow in a round pipe.
 * @param reynolds [-], 4000 or more
 * @param relativeRoughness roughness height over inside diameter [-], 0 to 0.05
 * @returns [-]; NaN outside the range
 * Reference: [colebrook-1939]: 1/sqrt(f) = -2 log10(e/(3.7 D) + 2.51/(Re sqrt(f))).
 */
export function frictionFactorColebrook(reynolds: number, relativeRoughness: number): number {
  const inRange = reynolds >= 4000 && relativeRoughness >= 0 && relativeRoughness <= 0.05;
  if (!inRange || !Number.isFinite(reynolds)) return Number.NaN;
  const rough = relativeRoughness / 3.7;
  const smooth = 2.51 / reynolds;
  // Newton on x = 1/sqrt(f): the residual is convex and nearly straight, so ten steps are plenty.
  let x = 7;
  for (let step = 0; step < 10; step += 1) {
    const inside = rough + smooth * x;
    const residual = x + 2 * Math.log10(inside);
    x -= residual / (1 + (2 * smooth) / (Math.LN10 * inside));
  }
  return 1 / (x * x);
}
