/**
 * Worst relative error of a mean square over a window of a sine, whatever its phase.
 * `mainsHz` [Hz], `windowS` [s], `rateHz` [Hz] samples each second, null for a window without
 * gaps. Returns [-], 0 to 1: |sin(wT)|/(wT) without gaps; with N samples |sin(N a)|/(N |sin a|),
 * a = 2 pi f/rate, which is 1 where the rate folds twice the mains frequency onto zero.
 * NaN where the window holds no sample. Source: integral of cos^2, and the sum of a cosine over
 * N steps (textbook).
 */
export function worstMeanSquareError(window: {
  mainsHz: number;
  windowS: number;
  rateHz: number | null;
}): number {
  const { mainsHz, windowS, rateHz } = window;
  if (rateHz === null) {
    const angle = 2 * Math.PI * mainsHz * windowS;
    return Math.abs(Math.sin(angle)) / angle;
  }
  const count = Math.round(windowS * rateHz);
  if (count < 1) return Number.NaN;
  const step = (2 * Math.PI * mainsHz) / rateHz;
  const divisor = Math.abs(Math.sin(step));
  if (divisor < 1e-12) return 1;
  return Math.abs(Math.sin(count * step)) / (count * divisor);
}

/** The same as a share of the RMS value, towards zero, where the square root bends it most. */
export function worstRmsError(window: Parameters<typeof worstMeanSquareError>[0]): number {
  return 1 - Math.sqrt(1 - Math.min(1, worstMeanSquareError(window)));
}
