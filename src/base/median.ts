/** Value below which half of the list lies; NaN for an empty list. */
export function median(list: readonly number[]): number {
  if (list.length === 0) return Number.NaN;
  const sorted = list.toSorted((a, b) => a - b);
  const middle = (sorted.length - 1) / 2;
  return (sorted[Math.floor(middle)]! + sorted[Math.ceil(middle)]!) / 2;
}

/** The median absolute deviation of a normal distribution times this is its standard deviation. */
const MAD_TO_STD = 1.4826;

export interface Spread {
  middle: number;
  width: number;
}

/** Middle and robust width (1.4826 times the median absolute deviation) of some values. */
export function middleAndWidth(values: readonly number[]): Spread {
  const middle = median(values);
  return { middle, width: MAD_TO_STD * median(values.map((one) => Math.abs(one - middle))) };
}
