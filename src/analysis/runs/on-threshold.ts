/**
 * Learns, from the amps themselves, what "the pump is on" means. Amps are counted on a
 * logarithmic scale and parted in two by Otsu's criterion; the parting is believed once the
 * two groups stand well apart, and is then kept at the geometric mean of their centres, so that
 * a lamp on the same leg or a transformer that reads low does not stop runs from being seen.
 */
const BINS = 64;
/** Amps below a small transformer's floor are counted as one: handbook figure, common practice. */
const LOWEST_A = 0.1;
const BINS_A_DECADE = 20;
/** Groups closer than this are one group: noise, or a pump never seen off. */
const APART_RATIO = 4;

export interface OnThreshold {
  counts: number[];
  /** Log10 of the centres of the amps off and on; NaN until learnt. */
  logOff: number;
  logOn: number;
  thresholdA: number;
  /** Readings above the threshold so far. */
  seenOn: number;
}

export function createOnThreshold(): OnThreshold {
  return { counts: new Array(BINS).fill(0), logOff: NaN, logOn: NaN, thresholdA: NaN, seenOn: 0 };
}

const logOf = (currentA: number): number => Math.log10(Math.max(currentA, LOWEST_A));

/** Takes one reading [A rms, finite] and moves the threshold. */
export function learnOnThreshold(state: OnThreshold, currentA: number): void {
  if (Number.isNaN(state.thresholdA)) {
    const bin = Math.floor((logOf(currentA) - Math.log10(LOWEST_A)) * BINS_A_DECADE);
    const place = Math.min(bin, BINS - 1);
    state.counts[place] = (state.counts[place] ?? 0) + 1;
    tryParting(state, place);
    return;
  }
  // Slow enough that a stuck or sagging transformer cannot drag both centres together in a run.
  const log = logOf(currentA);
  if (currentA > state.thresholdA) {
    state.seenOn += 1;
    state.logOn += (log - state.logOn) / Math.min(state.seenOn + 2, 500);
  } else state.logOff += (log - state.logOff) / 2000;
  setThreshold(state);
}

function tryParting(state: OnThreshold, newest: number): void {
  const total = state.counts.reduce((sum, count) => sum + count, 0);
  // A new bin may part them at once; of known ones every tenth reading is soon enough.
  if (total < 10 || ((state.counts[newest] ?? 0) > 3 && total % 10 !== 0)) return;
  const parted = otsu(state.counts);
  if (parted === null) return;
  const toLog = (bin: number): number => Math.log10(LOWEST_A) + (bin + 0.5) / BINS_A_DECADE;
  const off = toLog(parted.low);
  const on = toLog(parted.high);
  if (on - off < Math.log10(APART_RATIO)) return;
  state.logOff = off;
  state.logOn = on;
  setThreshold(state);
}

function setThreshold(state: OnThreshold): void {
  const middle = 10 ** ((state.logOff + state.logOn) / 2);
  const on = 10 ** state.logOn;
  // Common practice: a quarter of the running amps at most; never so low that noise is a run.
  state.thresholdA = Math.min(Math.max(middle, 0.06 * on), 0.25 * on);
}

/**
 * Otsu's parting of a histogram: the last bin of the lower group that makes the variance
 * between the groups largest, and the mean bins of both.
 * Source: Otsu 1979, IEEE Trans. Syst. Man Cybern. 9(1), eq. 18.
 */
export function otsu(counts: number[]): { lastLow: number; low: number; high: number } | null {
  const total = counts.reduce((sum, count) => sum + count, 0);
  const moment = counts.reduce((sum, count, bin) => sum + count * bin, 0);
  let best: { lastLow: number; low: number; high: number } | null = null;
  let bestBetween = 0;
  let weightLow = 0;
  let momentLow = 0;
  for (const [bin, count] of counts.entries()) {
    weightLow += count;
    momentLow += count * bin;
    const weightHigh = total - weightLow;
    if (weightLow === 0 || weightHigh === 0) continue;
    const low = momentLow / weightLow;
    const high = (moment - momentLow) / weightHigh;
    const between = (weightLow * weightHigh * (high - low) ** 2) / total ** 2;
    if (between > bestBetween) {
      bestBetween = between;
      best = { lastLow: bin, low, high };
    }
  }
  return best;
}
