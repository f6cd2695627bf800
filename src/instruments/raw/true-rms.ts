import { fitSine } from './sine-fit.ts';

export interface TrueRms {
  /** Root of the mean square about the middle of the wave, in the unit of the samples. */
  rms: number;
  /** Middle of the wave. */
  offset: number;
  /** Greatest distance of a sample from the middle. */
  peak: number;
  /** Cycles of the mains that count. */
  cycles: number;
  how: 'whole-cycles' | 'sine-fit';
  /** Samples that stand at the highest or lowest value: many mean that the wave is cut. */
  atEnds: number;
}

/** From so many whole cycles on, they are taken; a shorter burst is fitted. */
const WHOLE_CYCLES = 3;

/** Half a cycle at least: less of a sine cannot be told from a slope. */
const LEAST_CYCLES = 0.5;

/**
 * True RMS of a burst of raw samples, offset taken away.
 * `samples` [counts, V or A], evenly spaced by `intervalS` [s]; `mainsHz` [Hz]. Returns the RMS in
 * the unit of the samples. A long burst is cut to whole cycles, the last sample by its part, so
 * harmonics count whole. A short one (below three cycles) takes the sine that fits best and adds
 * what it leaves over. NaN below half a cycle, below four samples a cycle or with a sample that
 * is no number. Source: definition of RMS; IEEE 1057 for the fit (from memory).
 */
export function trueRms(samples: ArrayLike<number>, intervalS: number, mainsHz: number): TrueRms {
  const perCycle = 1 / (mainsHz * intervalS);
  const cycles = samples.length / perCycle;
  const values = Array.from(samples);
  const isUsable = cycles >= LEAST_CYCLES - 1e-9 && perCycle >= 4 && values.length >= 4;
  if (!isUsable || !values.every(Number.isFinite)) {
    const none = { rms: Number.NaN, offset: Number.NaN, peak: Number.NaN };
    return { ...none, cycles, how: 'sine-fit', atEnds: 0 };
  }
  const whole = Math.floor(cycles + 1e-9);
  const taken =
    whole >= WHOLE_CYCLES
      ? ofWholeCycles(values, whole * perCycle)
      : ofFit(values, intervalS, mainsHz);
  const low = values.reduce((a, b) => Math.min(a, b));
  const high = values.reduce((a, b) => Math.max(a, b));
  return {
    ...taken,
    peak: Math.max(high - taken.offset, taken.offset - low),
    cycles: taken.how === 'whole-cycles' ? whole : cycles,
    atEnds: high > low ? values.filter((value) => value === low || value === high).length : 0,
  };
}

/**
 * Mean and mean square over `length` samples, which need not be whole: the trapezium rule with
 * the last interval by its part, and the wave taken to end where it began.
 */
function ofWholeCycles(values: readonly number[], length: number) {
  const full = Math.min(values.length, Math.floor(length + 1e-9));
  const part = Math.max(0, length - full);
  const mean = (of: (value: number) => number) => {
    let sum = 0;
    for (let i = 0; i < full; i++) sum += of(values[i]!);
    if (full === values.length) return sum / full;
    const [first, last] = [of(values[0]!), of(values[full]!)];
    return (sum + part * last + ((1 - part) / 2) * (last - first)) / (full + part);
  };
  const offset = mean((value) => value);
  const rms = Math.sqrt(mean((value) => (value - offset) ** 2));
  return { rms, offset, how: 'whole-cycles' } as const;
}

function ofFit(values: readonly number[], intervalS: number, mainsHz: number) {
  const { amplitude, offset, residualRms } = fitSine(values, intervalS, mainsHz);
  const rms = Math.hypot(amplitude / Math.SQRT2, residualRms);
  return { rms, offset, how: 'sine-fit' } as const;
}
