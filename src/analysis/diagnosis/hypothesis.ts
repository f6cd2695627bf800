import type { FaultName } from '../../model/faults.ts';
import { PSI_PA } from '../../units/table.ts';
import type { Measure } from './measures.ts';

/** Where a fault moves a measure to, from where it was learnt: one stretch or several. */
export type Stretch = readonly [from: number, to: number];
/** `any`: it may move or not, and says nothing either way. */
export type Move = Stretch | readonly Stretch[] | 'any';

/** What of the well and its wiring decides which faults can be. */
export interface Circumstances {
  /** A motor with a run capacitor: its amps follow load and voltage otherwise. */
  runCapacitor: boolean;
  /** Shortest run the motor is made for, s. */
  shortestRunS: number;
  /** Length of a run now with little use in it: the lower quarter of the last ones, s. */
  runS: number;
  /** Length of a rest now: the middle one of those of the last hours, s; NaN without. */
  restS: number;
  /** For how long runs have spoken of trouble, hours. */
  troubledH: number;
  /** Deviations now, by measure; NaN where not known. */
  now: Record<Measure, number>;
  /** Absolute pressure at mid band [Pa]. */
  middlePa: number;
  /** Months since the middle of winter, 0 to 11; left out or NaN where seasons are not known. */
  monthsFromWinter?: number;
}

export interface Hypothesis {
  fault: FaultName;
  /** Chance that it begins on a home in a year (handbook D.7 and the like; from memory). */
  perYear: number;
  /** The measure that would show it; without that there are only hints. */
  hintsOnly?: Measure;
  /** It lasts about so many hours: trouble that goes on for longer is less and less likely it. */
  hours?: number;
  /** Null where it cannot be on this well. */
  moves(now: Circumstances): Partial<Record<Measure, Move>> | null;
}

export const psi = (from: number, to: number): Stretch => [from * PSI_PA, to * PSI_PA];
/** A stretch of ratios, as logarithms. */
export const times = (from: number, to: number): Stretch => [Math.log(from), Math.log(to)];
export const is = (
  fault: FaultName,
  perYear: number,
  moves: Partial<Record<Measure, Move>> | Hypothesis['moves'],
): Hypothesis => ({ fault, perYear, moves: typeof moves === 'function' ? moves : () => moves });

export const hinted = (measure: Measure, ...row: Parameters<typeof is>): Hypothesis => ({
  ...is(...row),
  hintsOnly: measure,
});

export const passing = (hours: number, ...row: Parameters<typeof is>): Hypothesis => ({
  ...is(...row),
  hours,
});

/** A run this much shorter than usual has less water to fill than the switch asks for. */
const FAR_SHORTER = Math.log(0.3);

/** A switch at its wrong points, or a sensor that lags, lets the tank be filled all the same. */
export const ofFullRuns = (
  now: Circumstances['now'],
  moves: Partial<Record<Measure, Move>>,
): typeof moves | null => (now['run-length'] < FAR_SHORTER ? null : moves);

/** What a house does whose pump does not start: taps are tried, and nothing comes. */
export const WITHOUT_WATER = {
  'night-draws': 'any',
  steepest: 'any',
  dip: 'any',
  loss: 'any',
  duty: 'any',
  flowing: 'any',
  'run-length': 'any',
  spikes: 'any',
} as const;

/** Share of a change that came within a few runs, where it came at once. */
export const SUDDEN: Stretch = [0.5, 1.3];
/** And where it is slow. */
export const GRADUAL: Stretch = [0, 0.75];
