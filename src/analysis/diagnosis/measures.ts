import { PSI_PA } from '../../units/table.ts';
import type { RunRecord } from './run-record.ts';

/**
 * What is compared between a well as it was learnt and as it is now. Each is taken from every run,
 * so that its scatter is learnt too. Ratios are kept as natural logarithms.
 */
export const MEASURES = [
  'cut-in',
  'cut-out',
  'dip',
  'delivery',
  'fill',
  'fade',
  'amps',
  'amps-slope',
  'jitter',
  'top-amps',
  'start-amps',
  'peak',
  'set-spread',
  'after-stop',
  'dead-time',
  'roughness',
  'run-length',
  'loss',
  'spikes',
  'steepest',
  'night-draws',
  'duty',
  'flowing',
  'stalls',
  'breaks',
  'flickers',
  'trips',
  'restarts',
  'start-time',
  'mains',
  'sudden',
] as const;

export type Measure = (typeof MEASURES)[number];

export interface MeasureKind {
  /** `ratio`: its logarithm is kept, the ratio is told. */
  unit: 'Pa' | 'ratio' | 's' | 'share' | 'number';
  /** What it differs by for reasons that are no fault, however well it is learnt. */
  floor: number;
  /** The span over which trouble that is in no table may move it. */
  span: number;
  /** What it is on any sound well; NaN where that is for the well itself to show. */
  sound: number;
  /** How the last runs are made one: their middle, their mean, their upper fifth, the second of
   * five from below, their highest or their scatter. */
  by: 'middle' | 'mean' | 'upper' | 'lower' | 'highest' | 'scatter';
  /** How many runs are made one. */
  last: number;
  /** Only an excess speaks of trouble. */
  excess: boolean;
  /** How rarely it stands far off on a sound well all the same: the house, the room, chance. */
  stray: number;
  says: string;
  /** What a number of it counts; empty where it counts nothing. */
  counts: string;
}

const kind = (
  unit: MeasureKind['unit'],
  floor: number,
  span: number,
  says: string,
  more: Partial<MeasureKind> = {},
): MeasureKind => ({
  unit,
  floor,
  span,
  says,
  sound: NaN,
  by: 'middle',
  last: 5,
  excess: false,
  stray: 0.0002,
  counts: '',
  ...more,
});

const psi = (x: number): number => x * PSI_PA;

/** People use water as they like, so what use moves too is taken with more doubt. */
const USE = { stray: 0.03 };

export const MEASURE: Record<Measure, MeasureKind> = {
  'cut-in': kind('Pa', psi(0.55), psi(30), 'pressure at which the pump starts'),
  'cut-out': kind('Pa', psi(0.55), psi(30), 'pressure at which the pump stops'),
  dip: kind('Pa', psi(0.6), psi(20), 'fall of pressure beyond the start of the pump', USE),
  delivery: kind('ratio', 0.022, 4, 'delivery into the tank, over what was learnt', {
    stray: 0.002,
  }),
  fill: kind('ratio', 0.2, 5, 'climb of pressure in a run, over what was learnt', USE),
  fade: kind('ratio', 0.25, 4, 'filling late in a run, over filling early in it', USE),
  // Nothing on a sound well takes the amps of several runs far off.
  amps: kind('ratio', 0.012, 2, 'running amps, over those learnt at the same pressure', {
    stray: 0.00002,
  }),
  // How they lean on pressure, over how they leant: 1 learnt, 0 flat, less turned round.
  'amps-slope': kind('number', 0.25, 4, 'slope of the amps over pressure, over what was learnt', {
    stray: 0.002,
  }),
  jitter: kind('ratio', 0.22, 5, 'unsteadiness of the running amps, over what was learnt', {
    stray: 0.005,
  }),
  'top-amps': kind('ratio', 0.35, 3, 'highest amps seen at a start, over the running ones', {
    by: 'highest',
    last: 14,
    stray: 0.03,
  }),
  'start-amps': kind('ratio', 0.1, 3, 'amps seen at starts on average, over the running ones', {
    by: 'mean',
    excess: true,
    last: 12,
    stray: 0.001,
  }),
  peak: kind('ratio', 0.03, 4, 'peak of the amps at a start, over what was learnt', {
    stray: 0.0002,
  }),
  'set-spread': kind('ratio', 0.5, 5, 'scatter of the pressure at which the pump stops', {
    by: 'scatter',
    excess: true,
    last: 8,
    stray: 0.02,
  }),
  'after-stop': kind('Pa', psi(0.5), psi(20), 'fall of pressure just after a stop'),
  'dead-time': kind('s', 1.2, 60, 'time until pressure follows the start of the pump'),
  roughness: kind('ratio', 0.35, 5, 'roughness of pressure in a run, over what was learnt', {
    excess: true,
    stray: 0.005,
  }),
  'run-length': kind('ratio', 0.35, 6, 'length of a run, over what was learnt', USE),
  // What leaks leaks in every rest; a softener at its work fills a few.
  loss: kind('ratio', 0.0008, 0.6, 'water lost at rest, as a share of delivery', {
    sound: 0,
    by: 'lower',
  }),
  spikes: kind('number', 0.3, 20, 'pressure spikes between two runs', {
    sound: 0,
    by: 'mean',
    last: 6,
    stray: 0.01,
    counts: 'spikes',
  }),
  // What taps give when they are wide open, and not how often they are.
  steepest: kind('ratio', 0.15, 4, 'fastest draw between runs, over what was learnt', {
    stray: 0.02,
    by: 'upper',
    last: 14,
  }),
  'night-draws': kind('number', 1.5, 20, 'draws in the quiet of the night', {
    excess: true,
    stray: 0.001,
    counts: 'draws',
  }),
  duty: kind('share', 0.06, 1, 'share of the last six hours in which the pump ran', {
    stray: 0.005,
  }),
  flowing: kind('s', 2700, 10 * 86_400, 'time for which water has not stood still', {
    sound: 0,
    excess: true,
    stray: 0.002,
  }),
  stalls: kind('share', 0.025, 1, 'share of starts that stalled', {
    sound: 0,
    by: 'mean',
    last: 20,
    stray: 0.0001,
  }),
  breaks: kind('share', 0.015, 1, 'share of runs that were broken, or whose amps leapt', {
    sound: 0,
    by: 'mean',
    last: 20,
    stray: 0.0001,
  }),
  flickers: kind('share', 0.03, 1, 'share of runs that lasted a few seconds only', {
    sound: 0,
    by: 'mean',
    last: 20,
    stray: 0.0002,
  }),
  trips: kind('share', 0.05, 1, 'share of runs that stopped below cut-out', {
    sound: 0,
    by: 'mean',
    last: 12,
    stray: 0.001,
  }),
  restarts: kind('share', 0.03, 1, 'share of starts soon after a stop, far above cut-in', {
    sound: 0,
    by: 'mean',
    last: 12,
    stray: 0.0005,
  }),
  // A start circuit fails at some starts and not at others (handbook A13): two of ten are enough.
  'start-time': kind('s', 0.06, 4, 'time that the starting current lasts', {
    by: 'upper',
    last: 10,
  }),
  mains: kind('ratio', 0.012, 0.5, 'mains voltage, over what was learnt'),
  // It parts faults only: it says nothing of whether there is one.
  sudden: kind('share', 0.15, 0.65, 'share of the change that came within a few runs', {
    stray: 1,
  }),
};

/** Whether no run of a sound well shows it. */
export const isNever = (measure: Measure): boolean =>
  MEASURE[measure].unit === 'share' && MEASURE[measure].sound === 0;

/** A measure that lies `value` off a centre, as figures for people. */
export function inFigures(
  measure: Measure,
  { value, std }: { value: number; std: number },
  centre: number,
): { observed: number; expected: number | null; expectedStd: number | null; unit: string } {
  const { unit, counts } = MEASURE[measure];
  if (measure === 'sudden')
    return { observed: Math.min(value, 1), expected: null, expectedStd: null, unit: '1' };
  if (unit === 'ratio' && measure !== 'loss')
    return { observed: Math.exp(value), expected: 1, expectedStd: std, unit: '1' };
  const told = unit === 'Pa' || unit === 's' ? unit : counts || '1';
  return { observed: centre + value, expected: centre, expectedStd: std, unit: told };
}

export type Sample = Record<Measure, number>;

/**
 * What one run says of each measure; NaN where it is silent. `amps`: the learnt curve over x. Where
 * amps come, a run that pressure alone has shown tells only of the water, and not where it began.
 */
export function sampleOf(
  run: RunRecord,
  amps: { a0: number; a1: number },
  b0: number,
  hasAmps: boolean,
): Sample {
  const isDim = run.byPressure && hasAmps;
  const stalled = run.ended === 'stalled';
  const seenStart = (run.begun === 'cut-in' || run.begun === 'other') && !stalled;
  const atTop = run.ended === 'cut-out' || run.ended === 'below-cut-out';
  const seenStop = run.ended !== 'gap' && run.ended !== 'log-end';
  const below = run.ended === 'below-cut-out' || run.ended === 'tripped';
  const fine = run.gapS <= 2.5 && run.readings > 2 && !stalled && !run.byPressure;
  const known = !isDim && !stalled;
  const brief = run.stopS - run.startS < BRIEF_S;
  // A start met while pressure fell fast lies somewhere below the last reading.
  const restarted = run.begun === 'other' && run.restS < RESTART_S;
  const metSlowly = !(run.cutInDoubtPa > SURE_PA);
  return {
    'cut-in': seenStart && known && metSlowly && !restarted ? run.cutInPa : NaN,
    'cut-out': atTop && known && !brief ? run.cutOutPa : NaN,
    dip: seenStart && known && metSlowly && !restarted ? run.cutInPa - run.lowPa : NaN,
    delivery: known ? Math.log(run.ratePerMin) : NaN,
    fill: known ? logShare(run.earlyShare) : NaN,
    fade: known ? logShare(run.lateShare) - Math.max(logShare(run.earlyShare), -1) : NaN,
    amps: known ? Math.log(run.meanA / (amps.a0 + amps.a1 * run.meanX)) : NaN,
    'amps-slope':
      known && !(run.leap > LEAP) ? slopeOver(run.slopeA / run.meanA, amps.a1 / amps.a0) : NaN,
    jitter: known ? Math.log(run.jitterA + 0.002 * run.meanA) : NaN,
    'top-amps': known ? Math.log(run.highA / run.meanA) : NaN,
    'start-amps': known ? Math.log(run.highA / run.meanA) : NaN,
    peak: known && seenStart ? Math.log(run.peakA) : NaN,
    'set-spread': atTop && known && !brief ? run.cutOutPa : NaN,
    'after-stop': known ? run.soonPa : NaN,
    'dead-time': fine ? run.deadS : NaN,
    roughness: fine ? Math.log(run.wigglePa + 0.01 * PSI_PA) : NaN,
    'run-length': stalled || isDim ? NaN : Math.log(run.stopS - run.startS),
    loss: run.rest.lossPerMin / b0,
    spikes: run.rest.readings > 20 ? Math.min(run.rest.spikes, 20) : NaN,
    steepest: run.rest.steepest > 0 ? Math.log(run.rest.steepest) : NaN,
    'night-draws': run.nightDraws,
    duty: isDim ? NaN : run.duty,
    flowing: Math.min(run.flowingS, LONGEST_FLOW_S),
    stalls: run.byPressure ? NaN : stalled ? 1 : 0,
    breaks: known ? (run.breaks > 0 || run.leap > LEAP ? 1 : 0) : NaN,
    flickers: known && seenStop ? (brief ? 1 : 0) : NaN,
    trips: !seenStop || !known || brief || !run.cutOutMet ? NaN : below ? 1 : 0,
    restarts: seenStart && known && metSlowly && !brief ? (restarted ? 1 : 0) : NaN,
    'start-time': run.startTimeS,
    mains: Math.log(run.mainsV),
    // Of several runs: suddenness.ts.
    sudden: NaN,
  };
}

/** Water that flows for longer does not speak louder. */
const LONGEST_FLOW_S = 2 * 86_400;
/** Running amps that leap by more were broken between two readings. */
const LEAP = 0.06;
/** A protector has cooled by then, and closes again whatever the pressure. */
const RESTART_S = 900;
/** A run as short as this is one that the contacts broke. */
const BRIEF_S = 4;
const SURE_PA = 0.7 * PSI_PA;

/** Amps that hardly lean on pressure tell nothing by their slope, a half band. */
const FLAT = 0.002;

const slopeOver = (slope: number, learnt: number): number =>
  Math.abs(learnt) > FLAT ? slope / learnt : NaN;

/** Logarithm of a share of the expected filling; what does not rise at all counts as a fiftieth. */
function logShare(share: number): number {
  return Number.isNaN(share) ? NaN : Math.log(Math.max(share, 0.02));
}
