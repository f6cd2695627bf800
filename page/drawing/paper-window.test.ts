import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  endingAt,
  kept,
  LEAST_SPAN_S,
  MOST_SPAN_S,
  moved,
  nextSpan,
  spanOf,
  zoomed,
} from './paper-window.ts';

describe('the window on the paper', () => {
  it('keeps what lies under the finger where it is, whatever the zoom', () => {
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    const by = fc.double({ min: 1e-3, max: 1e3, noNaN: true });
    fc.assert(
      fc.property(share, by, (at, times) => {
        const window = { fromS: 1e9, toS: 1e9 + 86_400 };
        const next = zoomed(window, times, at);
        const fixed = (w: typeof window) => w.fromS + at * spanOf(w);
        expect(fixed(next)).toBeCloseTo(fixed(window), 2);
        expect(spanOf(next)).toBeGreaterThanOrEqual(LEAST_SPAN_S * 0.999);
        expect(spanOf(next)).toBeLessThanOrEqual(MOST_SPAN_S * 1.001);
      }),
    );
  });
  it('goes through all spans, from a second to ten years and back', () => {
    let span: number = LEAST_SPAN_S;
    const up: number[] = [];
    while (span < MOST_SPAN_S) {
      up.push(span);
      span = nextSpan(span, 1);
    }
    const down: number[] = [];
    while (span > LEAST_SPAN_S) {
      span = nextSpan(span, -1);
      down.push(span);
    }
    expect(down.toReversed()).toEqual(up);
    expect(nextSpan(LEAST_SPAN_S, -1)).toBe(LEAST_SPAN_S);
  });
  it('keeps some of the record on the paper', () => {
    const far = kept(moved(endingAt(1000, 100), 5000), 0, 1000);
    expect(far.fromS).toBeLessThan(1000);
    expect(kept({ fromS: -9000, toS: -8900 }, 0, 1000).toS).toBeGreaterThan(0);
  });
});
