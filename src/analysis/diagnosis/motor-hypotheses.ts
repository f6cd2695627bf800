import {
  GRADUAL,
  type Hypothesis,
  hinted,
  is,
  type Move,
  psi,
  SUDDEN,
  times,
  WITHOUT_WATER,
} from './hypothesis.ts';
import type { Measure } from './measures.ts';

const BAD_JOINT = {
  sudden: SUDDEN,
  breaks: 'any',
  mains: 'any',
  amps: times(0.99, 1.08),
  'amps-slope': 'any',
  delivery: times(0.94, 1.005),
  'start-amps': 'any',
} as const;

const TRIPPING = {
  peak: 'any',
  breaks: 'any',
  flickers: 'any',
  'cut-out': psi(-25, 0.5),
  'set-spread': 'any',
  'run-length': 'any',
  fade: 'any',
  amps: 'any',
  'amps-slope': 'any',
} as const;

/** No protector has cooled sooner, s (handbook F32: two to twenty minutes). */
const COOLS_S = 45;

/** Nor does it open again and again within seconds, share of runs. */
const FLICKERS = 0.12;

const trips = (moves: Partial<Record<Measure, Move>>): Hypothesis =>
  is('overload-tripping', 0.01, ({ restS, now }) =>
    restS < COOLS_S || now.flickers > FLICKERS ? null : { ...TRIPPING, ...moves },
  );

/** The motor and its supply. */
export const MOTOR_HYPOTHESES: readonly Hypothesis[] = [
  hinted('amps', 'pump-dragging', 0.015, {
    sudden: GRADUAL,
    amps: times(1.015, 1.35),
    delivery: times(0.9, 1.01),
    fill: 'any',
    jitter: 'any',
    'run-length': times(0.95, 2),
  }),
  hinted('amps', 'run-capacitor-weak', 0.02, ({ runCapacitor }) =>
    runCapacitor
      ? {
          peak: 'any',
          sudden: [0.2, 1.3],
          amps: times(1.02, 1.4),
          'amps-slope': [-4, -0.2],
          delivery: times(0.94, 1.01),
          'run-length': times(0.95, 1.3),
        }
      : null,
  ),
  hinted('mains', 'voltage-low', 0.02, ({ runCapacitor }) => ({
    sudden: SUDDEN,
    mains: times(0.8, 0.96),
    peak: times(0.78, 0.97),
    amps: runCapacitor ? times(1.005, 1.1) : times(0.94, 1),
    'amps-slope': 'any',
    delivery: times(0.9, 0.985),
    fill: 'any',
    'run-length': times(0.98, 1.4),
  })),
  hinted('mains', 'voltage-high', 0.015, ({ runCapacitor }) => ({
    sudden: SUDDEN,
    mains: times(1.04, 1.2),
    peak: times(1.03, 1.22),
    amps: runCapacitor ? times(0.96, 1.03) : times(1.015, 1.1),
    'amps-slope': 'any',
    delivery: times(1, 1.07),
    fill: 'any',
    'run-length': times(0.7, 1.02),
  })),
  // It takes voltage, most of all from the start.
  is('joint-hot', 0.006, ({ now }) =>
    Number.isNaN(now.peak)
      ? null
      : {
          ...BAD_JOINT,
          // On less voltage than that a motor hardly starts, and on little less it starts slowly.
          peak: times(0.7, 0.94),
          jitter: 'any',
          'start-time': [0.02, 0.45],
          stalls: 'any',
        },
  ),
  hinted('jitter', 'joint-hot', 0.006, {
    ...BAD_JOINT,
    peak: 'any',
    jitter: times(1.2, 6),
  }),
  is('rotor-locked', 0.01, {
    peak: 'any',
    restarts: 'any',
    ...WITHOUT_WATER,
    'cut-out': 'any',
    flickers: 'any',
    breaks: 'any',
    stalls: [0.6, 1],
    trips: 'any',
    'start-time': 'any',
    'start-amps': 'any',
    'cut-in': 'any',
  }),
  is('start-circuit-weak', 0.03, {
    peak: 'any',
    restarts: 'any',
    ...WITHOUT_WATER,
    stalls: [0.05, 0.7],
    breaks: 'any',
    trips: 'any',
    'start-time': 'any',
    'start-amps': 'any',
    'cut-in': 'any',
    dip: 'any',
  }),
  is('start-circuit-weak', 0.02, ({ now }) =>
    Number.isNaN(now['start-time'])
      ? null
      : {
          'start-time': [0.2, 4],
          peak: 'any',
          'top-amps': 'any',
          'start-amps': 'any',
          restarts: 'any',
          flickers: 'any',
          // A motor that does not get going trips, and brings no water meanwhile.
          stalls: 'any',
          trips: 'any',
          delivery: 'any',
          'amps-slope': 'any',
        },
  ),
  // A capacitor that has lost some takes from the starting current before it takes long.
  is('start-circuit-weak', 0.01, ({ now }) =>
    Number.isNaN(now.peak)
      ? null
      : {
          peak: times(0.45, 0.75),
          'start-time': 'any',
          'top-amps': 'any',
          'start-amps': 'any',
          stalls: 'any',
        },
  ),
  // Tripped below cut-out, or so close to it that only the start of the cooled motor tells.
  trips({ trips: 'any', restarts: [0.12, 0.6], 'cut-out': 'any' }),
  trips({ trips: [0.06, 1], restarts: [0.06, 0.6] }),
  trips({
    trips: [0.15, 1],
    restarts: 'any',
    'run-length': times(0.1, 1.1),
    'cut-in': psi(0, 20),
  }),
];
