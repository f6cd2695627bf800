import { median, quantile } from '../../src/base/quantile.ts';

interface Spread {
  middle: number;
  width: number;
}

/** Middle and robust width (1.4826 times the median absolute deviation) of some values. */
export function middleAndWidth(values: readonly number[]): Spread {
  const middle = median(values);
  const width = MAD_TO_STD * median(values.map((one) => Math.abs(one - middle)));
  return { middle, width };
}

/** The same of what is usual; null with too few. */
export const usualOf = (values: readonly number[]): Spread | null =>
  values.length < LEAST_DAYS ? null : middleAndWidth(values);

/** Between these lie the middle 80 of 100 of usual values; null with too few. */
export function usualBand(values: readonly number[]): [low: number, high: number] | null {
  if (values.length < LEAST_DAYS) return null;
  return [quantile(values, 0.1), quantile(values, 0.9)];
}

/** Fewer days than these are no custom. */
const LEAST_DAYS = 10;
/** Of a normal distribution. */
const MAD_TO_STD = 1.4826;
