/** The span of time that lies on the paper. */
export interface PaperWindow {
  fromS: number;
  toS: number;
}

/** Spans that the paper can be set to, s: from a second to ten years. */
export const SPANS_S = [
  1, 10, 60, 600, 3600, 21_600, 86_400, 604_800, 2_592_000, 31_557_600, 315_576_000,
] as const;
export const LEAST_SPAN_S = 1;
export const MOST_SPAN_S = 315_576_000;

export const spanOf = ({ fromS, toS }: PaperWindow): number => toS - fromS;

/** The window with its span times `by`, what lies at `share` of the width staying there. */
export function zoomed(window: PaperWindow, by: number, share: number): PaperWindow {
  const span = spanOf(window);
  const wanted = Math.min(MOST_SPAN_S, Math.max(LEAST_SPAN_S, span * by));
  const atS = window.fromS + share * span;
  return { fromS: atS - share * wanted, toS: atS + (1 - share) * wanted };
}

export const moved = ({ fromS, toS }: PaperWindow, byS: number): PaperWindow => ({
  fromS: fromS + byS,
  toS: toS + byS,
});

/** A window of a span that ends a little after a moment. */
export const endingAt = (atS: number, spanS: number): PaperWindow => ({
  fromS: atS - 0.98 * spanS,
  toS: atS + 0.02 * spanS,
});

/** The window kept near what there is: some of the record stays on the paper. */
export function kept(window: PaperWindow, firstS: number, lastS: number): PaperWindow {
  const span = spanOf(window);
  const least = firstS - 0.9 * span;
  const most = lastS + 0.9 * span;
  if (window.fromS < least) return { fromS: least, toS: least + span };
  if (window.toS > most) return { fromS: most - span, toS: most };
  return window;
}

/** The next span of the list beyond one, shorter or longer. */
export function nextSpan(spanS: number, direction: -1 | 1): number {
  if (direction > 0) return SPANS_S.find((one) => one > spanS * 1.01) ?? MOST_SPAN_S;
  return SPANS_S.findLast((one) => one < spanS * 0.99) ?? LEAST_SPAN_S;
}
