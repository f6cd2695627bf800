import type { Delivery } from './run-balance.ts';

/** Beyond this of half the switch's band off its middle the curve is taken to go on level. */
const FARTHEST = 2.5;

/** Where on the curve a tee pressure counts, in halves of the switch's band off its middle. */
export const onCurve = (x: number): number => Math.min(Math.max(x, -FARTHEST), FARTHEST);

/**
 * What the pump gives at a tee pressure: b0 (1 + bend x²) + b1 x.
 *
 * @param delivery b0 at mid band and b1, its slope [reference units a minute]
 * @param bend share of b0 by which the curve bends [-]
 * @param x tee pressure off mid band, in halves of the band [-]
 * @returns reference units a minute; NaN before it was learnt
 */
export function deliveryAt(
  { b0, b1 }: Pick<Delivery, 'b0' | 'b1'>,
  bend: number,
  x: number,
): number {
  return b0 * (1 + bend * x * x) + b1 * x;
}

/** Standard uncertainty of that [reference units a minute], from the covariance of b0 and b1. */
export function deliveryStdAt({ v00, v01, v11 }: Delivery, x: number): number {
  return Math.sqrt(Math.max(v00 + 2 * x * v01 + x * x * v11, 0));
}
