/**
 * The most often a pump can start that fills a tank between two pressures: at a demand of half its
 * delivery the tank fills and empties in the same time, and any other demand starts it less.
 * @param pump.flowM3PerS delivery, taken as steady [m3/s], 0 or more
 * @param pump.drawdownM3 water between the two pressures [m3], above 0
 * @returns starts a second [1/s]; NaN outside the range
 * Reference: [wsc-tank-standard], whose limits on starts it ties to those on run time; the
 * greatest value of d (Q - d)/(Q V) over the demand d.
 */
export function mostFrequentStartsPerS(pump: { flowM3PerS: number; drawdownM3: number }): number {
  const { flowM3PerS, drawdownM3 } = pump;
  if (!(flowM3PerS >= 0 && drawdownM3 > 0)) return Number.NaN;
  return flowM3PerS / (4 * drawdownM3);
}
