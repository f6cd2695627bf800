import { middleAndWidth, type Spread } from '../../src/base/median.ts';

/** The value below which a share of them lies, between neighbours by the line. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  if (sorted.length === 0) return Number.NaN;
  const at = share * (sorted.length - 1);
  const low = Math.floor(at);
  const high = Math.min(sorted.length - 1, low + 1);
  return sorted[low]! + (at - low) * (sorted[high]! - sorted[low]!);
}

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
