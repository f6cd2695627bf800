import { fitSineOfUnknownFrequency } from './sine-fit.ts';
import { type TrueRms, trueRms } from './true-rms.ts';

export interface BurstReport extends TrueRms {
  /** Peak over RMS: 1.414 of a sine. */
  crestFactor: number;
  /** Frequency of the wave by the clock of the converter, Hz; NaN where none could be fitted. */
  foundHz: number;
  /** What stands against the figures, in words. */
  doubts: string[];
}

/** A flat-topped wave: common practice. */
const LEAST_CREST = 1.3;

/** Mains keep to a part in a hundred; a clock farther off shifts every window (common practice). */
const MOST_OFF = 0.01;

/** A shorter burst tells its own frequency worse than the mains keep theirs. */
const LONG_CYCLES = 3;

/** A fit that strays so far from the mains has taken hold of something else. */
const MOST_STRAY = 0.1;

/**
 * True RMS of a burst of raw samples, with what makes it doubtful: a wave that is cut, one without
 * whole cycles enough, a clock or mains frequency that is not as told. In a long burst the
 * frequency found in it counts the cycles. `intervalS` [s] by the rate as told; `mainsHz` [Hz].
 */
export function judgeBurst(
  samples: ArrayLike<number>,
  intervalS: number,
  mainsHz: number,
): BurstReport {
  const values = Array.from(samples);
  const fittedHz = frequencyOf(values, intervalS, mainsHz);
  const isSure = Math.abs(fittedHz / mainsHz - 1) <= MOST_STRAY;
  const foundHz = isSure ? fittedHz : Number.NaN;
  const found = trueRms(values, intervalS, isSure ? foundHz : mainsHz);
  const crestFactor = found.peak / found.rms;
  const doubts = [
    ...(Number.isNaN(found.rms) ? [TOO_SHORT] : []),
    ...(crestFactor < LEAST_CREST
      ? [
          `the wave is flat-topped: its peak is ${crestFactor.toFixed(2)} times its RMS value ` +
            `(limit ${LEAST_CREST}, a sine 1.41). It is cut by the range of the converter or by ` +
            'the core of the transformer, and the current is higher than it reads',
        ]
      : []),
    ...(Math.abs(foundHz / mainsHz - 1) > MOST_OFF
      ? [
          `the wave has ${foundHz.toFixed(2)} Hz by the clock of the converter, ${mainsHz} Hz ` +
            'are told: its rate or the mains are not as told, and windows set by them hold no ' +
            'whole cycles',
        ]
      : []),
  ];
  return { ...found, crestFactor, foundHz, doubts };
}

/**
 * Frequency of a long burst, NaN of a short one. A fit takes hold only within half a cycle over its
 * length, so it begins with few cycles and doubles them, each with the frequency of the last.
 */
function frequencyOf(values: number[], intervalS: number, mainsHz: number): number {
  let count = Math.ceil(LONG_CYCLES / (mainsHz * intervalS));
  if (values.length < count) return Number.NaN;
  let hz = mainsHz;
  for (;;) {
    hz = fitSineOfUnknownFrequency(values.slice(0, count), intervalS, hz).frequencyHz;
    if (count === values.length || Number.isNaN(hz)) return hz;
    count = Math.min(2 * count, values.length);
  }
}

const TOO_SHORT =
  'no RMS value: it takes half a cycle of the mains, four samples a cycle and numbers throughout';
