import type { CautionId } from '../../model/cautions.ts';

/** Pressure transducer as the keeper describes it; null where not told. */
export interface Transducer {
  /** Pressure at the upper end of the output, Pa gauge; zero of the output is 0 Pa gauge. */
  rangePaGauge: number | null;
  /** Output at zero and at full range, V. */
  outputV: { zero: number; full: number } | null;
  supplyV: number | null;
  /** The output follows the supply. */
  ratiometric: boolean | null;
  /** How far the supply may sag, as a share of it. */
  sagShare: number | null;
  /** Limits of the total error, as a share of full range. */
  accuracyShare: number | null;
  /** Limits of the temperature error, as a share of full range for each K. */
  temperatureSharePerK: number | null;
  temperatureSwingK: number | null;
  driftSharePerYear: number | null;
  noisePa: number | null;
  divider: Divider | null;
  /** Gain range in use: full scale of the converter, V. */
  gainV: number | null;
}

/** Current transformer over one conductor of the pump. */
export interface Transformer {
  /** Rated primary current, A rms. */
  rangeA: number | null;
  /** Output at the rated current, rms: V for one with its own burden, A for a current output. */
  output: { unit: 'V' | 'A'; rms: number } | null;
  /** Burden outside the transformer, ohm. */
  burdenOhm: number | null;
  /** Greatest burden the maker allows at the rated current, ohm. */
  burdenLimitOhm: number | null;
  /** Accuracy class of IEC 61869-2. */
  accuracyClass: AccuracyClass | null;
  /** Limits of the ratio error as a share of the reading, where no class is told. */
  accuracyShare: number | null;
  /** What the clamp shows with no current, A rms. */
  noiseA: number | null;
  /** Middle on which the wave stands, V; 0 for none. */
  biasV: number | null;
  /** Both wires go to a pair of inputs and the converter reads their difference. */
  differential: boolean;
  divider: Divider | null;
  gainV: number | null;
}

export type AccuracyClass = '0.2' | '0.5' | '0.5S' | '1' | '3' | '5';

/** Two resistors: from the sensor to the input, and from the input to ground. */
export interface Divider {
  seriesOhm: number;
  groundOhm: number;
  toleranceShare: number;
}

export interface Converter {
  bits: number | null;
  /** Gain ranges: the full scale of each, V, rising. */
  rangesV: number[];
  /** Codes run from minus to plus the range. */
  signed: boolean;
  /** Samples each second of one channel while it is read in a burst. */
  rateHz: number | null;
  supplyV: number | null;
  /** What a code is a share of: a fixed voltage inside, or the supply. */
  reference: 'absolute' | 'supply' | null;
  /** How far an input may stand above the supply or below ground, V. */
  beyondV: number | null;
  /** Limits of gain error and non-linearity, as a share of the range. */
  accuracyShare: number | null;
}

export interface Bus {
  logicV: number | null;
  /** Most that the pins of the controller stand, V. */
  pinsBearV: number | null;
  pullUpOhm: number | null;
  pulledToV: number | null;
  speedHz: number | null;
  wireM: number | null;
}

export interface Sampling {
  mainsHz: number | null;
  /** Length of the window of which one RMS value is made, s. */
  windowS: number | null;
  /** Time from one reading to the next at rest, s. */
  intervalS: number | null;
  /** The same while the pump runs, s. */
  runningIntervalS: number | null;
  /** The device itself finds the channels `start-time` and `current-peak`. */
  startTime: boolean;
  currentPeak: boolean;
}

/** `[sensing]` of the well file in SI. */
export interface Chain {
  pressure: Transducer | null;
  current: Transformer | null;
  converter: Converter | null;
  bus: Bus | null;
  /** Whether sensor, converter and controller share a ground. */
  commonGround: boolean | null;
  sampling: Sampling | null;
}

/** One thing wrong in `[sensing]`. */
export interface SensingIssue {
  /** Dotted key below `sensing`, as in `sensing.pressure.range`. */
  key: string;
  expected: string;
  found: string;
}

export type SensingRead =
  | { ok: true; chain: Chain; issues: [] }
  | { ok: false; chain: null; issues: SensingIssue[] };

/** What the chain has to measure, from the well file; null where not known. */
export interface ChainContext {
  units: 'us' | 'si';
  cutInPaGauge: number | null;
  cutOutPaGauge: number | null;
  reliefPaGauge: number | null;
  /** Current in the conductor while the pump runs, A rms. */
  runA: number | null;
  /** Current in the first cycles of a start, A rms. */
  inrushA: number | null;
  /** What of it was taken because none was told. */
  assumed?: readonly string[];
}

export type ChannelName = 'pressure' | 'current';

/** One source of uncertainty and its part at one value; `std` in `unit`, the rest in SI. */
export interface BudgetRow {
  source: string;
  /** A: from a series of readings; B: from anything else (GUM 3.3.4). */
  kind: 'A' | 'B';
  distribution: 'normal' | 'rectangular' | 'arcsine';
  std: number;
  unit: string;
  /** Change of the result [Pa or A] for each `unit` of the source. */
  sensitivity: number;
  /** |sensitivity| times std, Pa or A. */
  contribution: number;
  /** Share of the variance, 0 to 1. */
  share: number;
  /** Infinity where the limits were told; few where they are a guess of ours. */
  degreesOfFreedom: number;
}

export interface Budget {
  rows: BudgetRow[];
  /** Combined standard uncertainty, Pa or A. */
  std: number;
  /** Effective degrees of freedom, Welch and Satterthwaite. */
  degreesOfFreedom: number;
  /** Factor for 95.45 %. */
  coverage: number;
  expanded: number;
}

export interface BudgetAt extends Budget {
  at: 'zero' | 'cut-in' | 'cut-out' | 'run' | 'inrush';
  /** Pa gauge or A. */
  value: number;
}

/** One box of the figure. */
export interface ChainLink {
  name: string;
  lines: string[];
}

export interface GainChoice {
  /** Range in use, V; null where neither told nor the only one. */
  inUseV: number | null;
  chosenV: number;
  why: string;
}

export interface ChannelReport {
  channel: ChannelName;
  links: ChainLink[];
  /** Counts for each Pa or A; null where the chain is not told far enough. */
  countsPerUnit: number | null;
  /** One count, Pa or A. */
  resolution: number | null;
  /** Noise of one reading, Pa or A rms. */
  noise: number | null;
  /** Share of the gain range that the signal uses: at full pressure, at the running current. */
  rangeUsed: number | null;
  gain: GainChoice | null;
  budgets: BudgetAt[];
}

export type FindingId =
  | 'above-range'
  | 'beyond-supply'
  | 'below-ground'
  | 'negative-half-wave'
  | 'pull-ups-too-high'
  | 'pull-ups-too-strong'
  | 'pull-ups-too-weak'
  | 'bus-high-too-low'
  | 'clips-inrush'
  | 'wastes-range'
  | 'burden-saturates'
  | 'no-burden'
  | 'burden-twice'
  | 'no-common-ground'
  | 'window-not-whole-cycles'
  | 'aliasing'
  | 'supply-sag-reads-as-pressure'
  | 'interval-too-slow'
  | 'transformer-far-too-large'
  | 'transducer-below-relief';

export interface ChainFinding {
  id: FindingId;
  channel: ChannelName | null;
  /** What comes of it: parts destroyed, a wrong reading, or a question left open. */
  does: 'destroys' | 'misleads' | 'limits';
  says: string;
  /** The number that shows it and the limit it passes, in `unit`. */
  number: number;
  limit: number;
  unit: 'V' | 'A' | 'ohm' | 'Pa' | 's' | 'Hz' | 'share' | 'yes/no';
  /** Cautions that stand beside the work it asks for. */
  cautions: readonly CautionId[];
}

/** What a sample interval can answer. */
export interface QuestionAnswer {
  question: string;
  needsS: number;
  /** Interval that counts for it, s; null where not told. */
  hasS: number | null;
  answerable: boolean | null;
  because: string;
}

export interface ChainReport {
  channels: ChannelReport[];
  findings: ChainFinding[];
  questions: QuestionAnswer[];
  /** What could not be judged, and what would have to be told. */
  notJudged: string[];
  /** Values taken because none was told. */
  assumed: string[];
  /** Cautions for fitting what the chain describes. */
  cautions: readonly CautionId[];
}
