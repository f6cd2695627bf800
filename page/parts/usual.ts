import { middleAndWidth, type Spread } from '../../src/base/median.ts';
import { quantile } from '../../src/base/quantile.ts';

/** Middle and robust width of usual values; null with too few. */
export const usualOf = (values: readonly number[]): Spread | null =>
  values.length < LEAST_DAYS ? null : middleAndWidth(values);

/** Between these lie the middle 80 of 100 of usual values; null with too few. */
export function usualBand(values: readonly number[]): [low: number, high: number] | null {
  if (values.length < LEAST_DAYS) return null;
  return [quantile(values, 0.1), quantile(values, 0.9)];
}

/** Fewer days than these are no custom. */
const LEAST_DAYS = 10;
