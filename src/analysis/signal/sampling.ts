import { CHANNELS } from '../../model/reading.ts';
import type { SignalConfig } from './types.ts';

/**
 * Intervals remembered for each channel at rest, and as many while the pump runs; 2 to some power.
 */
const KEPT = 128;
/** Fewer intervals teach nothing. */
const LEAST_LEARNT = 16;
const LEARN_EVERY = 512;
/** Until intervals are learnt [s]. */
const UNLEARNT_GAP_S = 300;
const LEAST_GAP_S = 10;
/** A gap is this many usual intervals; a reading or two lost is none. */
const GAP_INTERVALS = 5;
/**
 * A reporter on change may be silent twice as long as the third longest of its remembered
 * silences (two may be outages), within these bounds [s]: a busy hour teaches nothing of the night.
 */
const GAP_SILENCES = 2;
const LEAST_ON_CHANGE_S = 120;
const MOST_ON_CHANGE_S = 600;
/** Share of intervals near their median that makes a rate steady. */
const STEADY_SHARE = 0.8;
/** Steady lessons it takes after one that was not: a busy stretch on change looks steady too. */
const DOUBT = 5;
/** A heartbeat may come this much late. */
const LATE_SHARE = 1.1;
const LATE_S = 1;
const CHANNEL_COUNT = CHANNELS.length;

export type SamplingPolicy = 'fixed' | 'on-change' | 'fast-while-running';

export interface SamplingOfChannel {
  channel: number;
  policy: SamplingPolicy;
  /** Median interval at rest and while the pump runs [s], NaN where not learnt. */
  restS: number;
  runS: number;
  /** A longer silence counts as a gap [s]. */
  gapAfterS: number;
}

export interface SamplingState {
  lastS: Float64Array;
  intervals: Float64Array;
  counts: Float64Array;
  medianS: Float64Array;
  gapAfterS: Float64Array;
  /** Steady lessons in a row, from -DOUBT after one that was not. */
  steady: Float64Array;
  /** Third longest interval of a lesson, the longest so far [s]. */
  silenceS: Float64Array;
  running: number;
  slowestS: number;
  longestGapAfterS: number;
}

/** Learns how often each channel reports, at rest and while the pump runs, and what a gap is. */
export class Sampling {
  state: SamplingState;
  /** Set by a lesson, for whoever follows the rate to take down. */
  hasLearnt = false;
  readonly #config: SignalConfig;
  readonly #runningAbove = new Float64Array(CHANNEL_COUNT).fill(Number.NaN);
  readonly #sorted = new Float64Array(KEPT);

  constructor(config: SignalConfig) {
    this.#config = config;
    this.#runningAbove[CHANNELS.indexOf('current')] = config.runningAboveA;
    this.#runningAbove[CHANNELS.indexOf('current-raw')] = config.runningAboveRaw ?? Number.NaN;
    const known = config.longestSilenceS;
    const gapAfterS = known === null ? UNLEARNT_GAP_S : known * LATE_SHARE + LATE_S;
    this.state = {
      lastS: new Float64Array(CHANNEL_COUNT).fill(Number.NaN),
      intervals: new Float64Array(CHANNEL_COUNT * 2 * KEPT),
      counts: new Float64Array(CHANNEL_COUNT * 2),
      medianS: new Float64Array(CHANNEL_COUNT * 2).fill(Number.NaN),
      gapAfterS: new Float64Array(CHANNEL_COUNT).fill(gapAfterS),
      steady: new Float64Array(CHANNEL_COUNT * 2),
      silenceS: new Float64Array(CHANNEL_COUNT),
      running: 0,
      slowestS: 0,
      longestGapAfterS: gapAfterS,
    };
  }

  /** Takes the time of a reading; returns the time before it when there is a gap, else NaN. */
  step(timeS: number, channel: number, value: number): number {
    const state = this.state;
    const above = this.#runningAbove[channel]!;
    if (!Number.isNaN(above)) state.running = value > above ? 1 : 0;
    const before = state.lastS[channel]!;
    state.lastS[channel] = timeS;
    const interval = timeS - before;
    if (!(interval > 0)) return Number.NaN;
    const series = channel * 2 + state.running;
    const count = state.counts[series]!;
    state.intervals[series * KEPT + (count & (KEPT - 1))] = interval;
    state.counts[series] = count + 1;
    const gap = interval > state.gapAfterS[channel]! ? before : Number.NaN;
    if (isLessonDue(count + 1)) this.#learn(channel, series);
    return gap;
  }

  /** A reporter on change, as told or learnt. */
  isOnChange(channel: number): boolean {
    return this.#policyOf(channel) === 'on-change';
  }

  report(): SamplingOfChannel[] {
    const { lastS, medianS, gapAfterS } = this.state;
    return CHANNELS.map((_, channel) => ({
      channel,
      policy: this.#policyOf(channel),
      restS: medianS[channel * 2]!,
      runS: medianS[channel * 2 + 1]!,
      gapAfterS: gapAfterS[channel]!,
    })).filter(({ channel }) => !Number.isNaN(lastS[channel]!));
  }

  #policyOf(channel: number): SamplingPolicy {
    const { counts, medianS, steady } = this.state;
    if (this.#config.policy === 'on-change') return 'on-change';
    const rest = channel * 2;
    const run = rest + 1;
    const isSteady = (series: number) => counts[series]! < LEAST_LEARNT || steady[series]! > 0;
    const fixed = this.#config.policy === 'fixed' || (isSteady(rest) && isSteady(run));
    if (!fixed) return 'on-change';
    return medianS[run]! < medianS[rest]! / 1.5 ? 'fast-while-running' : 'fixed';
  }

  #learn(channel: number, series: number): void {
    const state = this.state;
    const kept = Math.min(state.counts[series]!, KEPT);
    const sorted = this.#sorted.subarray(0, kept);
    sorted.set(state.intervals.subarray(series * KEPT, series * KEPT + kept));
    sorted.sort();
    const median = sorted[kept >> 1]!;
    let near = 0;
    for (const interval of sorted) if (Math.abs(interval - median) <= 0.25 * median) near++;
    state.medianS[series] = median;
    state.steady[series] = near >= STEADY_SHARE * kept ? state.steady[series]! + 1 : -DOUBT;
    state.silenceS[channel] = Math.max(state.silenceS[channel]!, sorted[kept - 3]!);
    if (this.#config.longestSilenceS === null) this.#learnGap(channel);
    state.slowestS = Math.max(...state.medianS.filter((s) => !Number.isNaN(s)));
    this.hasLearnt = true;
    state.longestGapAfterS = Math.max(
      ...state.gapAfterS.filter((_, one) => !Number.isNaN(state.lastS[one]!)),
    );
  }

  #learnGap(channel: number): void {
    const { counts, medianS, gapAfterS, silenceS } = this.state;
    // The first run alone says nothing of the rest, where a device may be slower.
    if (counts[channel * 2]! < LEAST_LEARNT) return;
    const slow = Math.max(
      ...[medianS[channel * 2]!, medianS[channel * 2 + 1]!].filter((s) => s > 0),
    );
    const byInterval = Math.max(LEAST_GAP_S, GAP_INTERVALS * slow);
    const bySilence = Math.min(MOST_ON_CHANGE_S, GAP_SILENCES * silenceS[channel]!);
    gapAfterS[channel] = this.isOnChange(channel)
      ? Math.max(LEAST_ON_CHANGE_S, byInterval, bySilence)
      : byInterval;
  }
}

/** Lessons come at 16, 32, 64, 128, 256 intervals, then at every 512. */
function isLessonDue(count: number): boolean {
  if (count >= LEARN_EVERY) return (count & (LEARN_EVERY - 1)) === 0;
  return count >= LEAST_LEARNT && (count & (count - 1)) === 0;
}
