/**
 * Cross-section of a solid round conductor of a wire gauge.
 * @param gauge AWG number [-], whole; 0, -1, -2, -3 stand for 1/0, 2/0, 3/0, 4/0
 * @returns area [m2]; NaN outside -3 to 40
 * Source: ASTM B258, d = 0.005 in * 92^((36 - n)/39) (from memory).
 */
export function conductorAreaOfGaugeM2(gauge: number): number {
  if (!Number.isInteger(gauge) || gauge < -3 || gauge > 40) return Number.NaN;
  const diameterM = 0.000127 * 92 ** ((36 - gauge) / 39);
  return (Math.PI / 4) * diameterM * diameterM;
}
