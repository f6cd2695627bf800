/** What the store sums up: stretches of whole ones need no reading looked at. */
const HOUR_S = 3600;

export interface Stretches {
  fromS: number;
  toS: number;
  count: number;
}

/**
 * Stretches of equal length over a span, at most so many. As many as that exactly where none is
 * longer than an hour; else each is a whole number of hours, the fewest that serve, the first from
 * the full hour (UTC) before the span or at its beginning, the last perhaps beyond its end.
 */
export function stretchesOf(span: { fromS: number; toS: number }, most: number): Stretches {
  const { fromS, toS } = span;
  if (toS - fromS <= most * HOUR_S) return { fromS, toS, count: most };
  const firstHour = Math.floor(fromS / HOUR_S);
  const hours = Math.ceil(toS / HOUR_S) - firstHour;
  const hoursEach = Math.ceil(hours / most);
  const count = Math.ceil(hours / hoursEach);
  return { fromS: firstHour * HOUR_S, toS: (firstHour + count * hoursEach) * HOUR_S, count };
}
