import { GRADUAL, type Hypothesis, is, psi, SUDDEN, times } from './hypothesis.ts';

const ISOLATED = {
  peak: 'any',
  restarts: 'any',
  flowing: 'any',
  breaks: 'any',
  'run-length': times(0.002, 0.2),
  'cut-in': 'any',
  'cut-out': 'any',
  dip: 'any',
  delivery: 'any',
  fill: 'any',
  fade: 'any',
  jitter: 'any',
  roughness: 'any',
  spikes: 'any',
  steepest: 'any',
  amps: 'any',
  'amps-slope': 'any',
  'start-amps': 'any',
  'top-amps': 'any',
  'set-spread': 'any',
  stalls: 'any',
  trips: 'any',
} as const;

const OTHER_PUMP = {
  peak: 'any',
  'amps-slope': 'any',
  sudden: SUDDEN,
  fill: 'any',
  'run-length': 'any',
  'after-stop': psi(-1.5, 3),
  jitter: 'any',
  roughness: 'any',
} as const;

/** The tank, and a pump that does not go with it. */
export const TANK_HYPOTHESES: readonly Hypothesis[] = [
  is('tank-waterlogged', 0.05, {
    peak: 'any',
    restarts: 'any',
    flowing: 'any',
    breaks: 'any',
    flickers: 'any',
    delivery: times(1.7, 30),
    fill: times(1.4, 30),
    'run-length': times(0.03, 0.75),
    'after-stop': psi(-0.5, 14),
    amps: 'any',
    'amps-slope': 'any',
    jitter: 'any',
    roughness: 'any',
    steepest: 'any',
    'top-amps': 'any',
    'cut-out': psi(-10, 3),
    'set-spread': 'any',
    trips: 'any',
    fade: 'any',
    'start-amps': 'any',
  }),
  // Half of it is lost, and nothing else has moved yet.
  is('tank-waterlogged', 0.02, {
    restarts: 'any',
    delivery: times(1.6, 5),
    fill: 'any',
    'run-length': times(0.1, 0.9),
    'after-stop': psi(-0.5, 5),
    steepest: 'any',
  }),
  is('precharge-low', 0.05, {
    sudden: GRADUAL,
    delivery: times(1.11, 1.9),
    fill: times(1, 1.9),
    'run-length': times(0.4, 1.05),
    steepest: 'any',
  }),
  is('precharge-high', 0.02, {
    restarts: 'any',
    sudden: SUDDEN,
    'cut-in': psi(-1, 2),
    dip: psi(1, 14),
    delivery: times(0.7, 1.02),
    'run-length': 'any',
    steepest: times(1.1, 8),
    fade: 'any',
  }),
  // Readings at rest come too seldom to see the fall, and the last one before it stands higher.
  is('precharge-high', 0.03, {
    restarts: 'any',
    sudden: SUDDEN,
    'cut-in': psi(1, 12),
    dip: 'any',
    delivery: times(0.7, 0.97),
    'run-length': 'any',
    steepest: times(0.9, 8),
    fade: 'any',
  }),
  is('tank-isolated', 0.003, { ...ISOLATED, flickers: 'any', 'after-stop': psi(3, 30) }),
  // Runs of a second or two, the readings between them too seldom to see the fall.
  is('tank-isolated', 0.003, { ...ISOLATED, flickers: [0.3, 1], 'after-stop': 'any' }),
  // Where readings meet a run now here, now there, its ends seem to scatter.
  is('tank-isolated', 0.002, {
    ...ISOLATED,
    flickers: 'any',
    'after-stop': 'any',
    'set-spread': [0.8, 5],
    'run-length': times(0.002, 0.35),
  }),
  // A pump too big for the tank: only where runs are in fact too short for the motor.
  is('tank-undersized', 0.03, ({ runS, shortestRunS }) =>
    runS < shortestRunS
      ? {
          sudden: SUDDEN,
          peak: 'any',
          delivery: times(1.1, 2.5),
          fill: 'any',
          amps: times(1.1, 2.5),
          'amps-slope': 'any',
          'run-length': times(0.15, 1),
          'after-stop': psi(-0.5, 6),
          jitter: 'any',
          roughness: 'any',
          'start-amps': 'any',
        }
      : null,
  ),
  is('pump-changed', 0.009, { ...OTHER_PUMP, delivery: times(1.04, 1.45), amps: times(1.05, 1.5) }),
  is('pump-changed', 0.003, { ...OTHER_PUMP, delivery: times(1.45, 2.5), amps: times(1.5, 2.5) }),
  is('pump-changed', 0.006, { ...OTHER_PUMP, delivery: times(0.5, 0.96), amps: times(0.4, 0.95) }),
];
