/** Use may go beyond the points by a quarter of their span: common practice. */
export const MOST_BEYOND = 0.25;

type Range = { from: number; to: number };

/** How far use goes beyond the span of the points, as a share of the span; below 0 within. */
export const beyondShare = (use: Range, span: Range): number =>
  Math.max(use.to - span.to, span.from - use.from) / (span.to - span.from);
