import { type Hypothesis, hinted, is, passing, psi, times } from './hypothesis.ts';

const HOUR_S = 3600;

/** Water that leaves at rest looks like small draws, and makes runs longer. */
const STEADY_LOSS = {
  steepest: 'any',
  'night-draws': 'any',
  'run-length': 'any',
  fade: 'any',
} as const;

const KNOCKS = {
  restarts: 'any',
  flowing: 'any',
  flickers: 'any',
  // A knock that falls on the reading at a stop stands far above what comes after.
  'after-stop': psi(-4, 40),
  'cut-out': psi(-6, 40),
  'cut-in': psi(-3, 6),
  dip: psi(-1, 8),
  'set-spread': 'any',
  steepest: times(0.9, 60),
  delivery: times(0.8, 1.2),
} as const;

const PARTED = {
  flowing: 'any',
  duty: [0.25, 1],
  delivery: 'any',
  amps: times(0.92, 1.03),
  'amps-slope': 'any',
  fade: 'any',
} as const;

/**
 * Hours of flow draw the level down, and the pump with it. How hard it flows says nothing of
 * whether it ends: that is for its length to tell.
 */
const HOURS_OF_FLOW = {
  amps: times(0.95, 1.012),
  'amps-slope': 'any',
  delivery: times(0.75, 1.03),
  fill: 'any',
  fade: 'any',
  loss: 'any',
  'start-amps': 'any',
  'after-stop': 'any',
  steepest: 'any',
  'night-draws': 'any',
} as const;

const BURST = {
  duty: [0.08, 1],
  flowing: [1.5 * HOUR_S, 48 * HOUR_S],
  'run-length': 'any',
} as const;

/** Nobody waters day and night. */
const DAY_LONG_S = 12 * HOUR_S;
/** A lawn is watered for an hour or two, harder than any tap, every morning of a summer. */
const LAWN = {
  ...HOURS_OF_FLOW,
  amps: 'any',
  delivery: 'any',
  duty: [0.01, 0.25],
  flowing: 'any',
  steepest: times(1.1, 12),
  'after-stop': psi(0.3, 12),
  // What is drawn meanwhile makes a run longer.
  'run-length': times(1.1, 20),
  peak: 'any',
} as const;

/** Water that leaves, and pipes that knock or clog. */
export const WATER_HYPOTHESES: readonly Hypothesis[] = [
  is('leak-house', 0.1, {
    duty: [-0.1, 0.3],
    loss: [0.003, 0.3],
    ...STEADY_LOSS,
  }),
  is('fixture-running', 0.02, {
    duty: [-0.1, 0.15],
    loss: [0.008, 0.2],
    ...STEADY_LOSS,
  }),
  is('fixture-running', 0.1, {
    'night-draws': [4, 14],
    'run-length': 'any',
    duty: [-0.1, 0.15],
  }),
  is('check-valve-leak', 0.05, {
    duty: [-0.1, 0.3],
    loss: [0.003, 0.3],
    'after-stop': 'any',
    ...STEADY_LOSS,
  }),
  is('check-valve-leak', 0.006, { ...HOURS_OF_FLOW, ...BURST }),
  is('check-valve-leak', 0.02, { 'dead-time': [3, 40], fill: 'any' }),
  is('leak-before-house-valve', 0.03, {
    duty: [-0.1, 0.3],
    loss: [0.003, 0.3],
    ...STEADY_LOSS,
  }),
  is('leak-before-house-valve', 0.004, { ...HOURS_OF_FLOW, ...BURST }),
  // The tank fills as ever until it opens, and hardly from there on.
  is('relief-lifting', 0.01, {
    flowing: 'any',
    duty: 'any',
    fade: times(0.02, 0.6),
    fill: 'any',
    // It takes water from where delivery is measured, and more at the top than below.
    delivery: 'any',
    'amps-slope': 'any',
    'run-length': times(1.2, 60),
    'after-stop': psi(-0.5, 15),
    loss: 'any',
    steepest: 'any',
    'night-draws': 'any',
  }),
  is('filter-plugged', 0.03, { steepest: times(0.35, 0.85) }),
  // Knocks that were not looked for are not guessed.
  is('water-hammer', 0.02, ({ now }) =>
    Number.isNaN(now.roughness) ? null : { ...KNOCKS, roughness: times(1.8, 80), spikes: 'any' },
  ),
  is('water-hammer', 0.02, ({ now }) =>
    Number.isNaN(now.spikes) ? null : { ...KNOCKS, roughness: 'any', spikes: [0.3, 20] },
  ),
  is('water-hammer', 0.005, ({ now }) =>
    Number.isNaN(now.roughness) && Number.isNaN(now.spikes)
      ? { ...KNOCKS, 'after-stop': psi(4, 40) }
      : null,
  ),
  is('drop-pipe-parted', 0.005, {
    ...PARTED,
    fill: times(0.01, 0.5),
    'run-length': times(2, 400),
    loss: 'any',
    'after-stop': 'any',
    steepest: 'any',
  }),
  // Or the line empties into the well at every stop, and is filled anew.
  is('drop-pipe-parted', 0.01, {
    ...PARTED,
    fill: 'any',
    'run-length': times(1.3, 400),
    loss: 'any',
    'after-stop': psi(1.5, 25),
    steepest: times(1.6, 12),
    'top-amps': 'any',
    'start-amps': 'any',
  }),
  is('leak-burst', 0.02, { ...HOURS_OF_FLOW, ...BURST }),
  // It may be so steady that it is taken for loss and not for use.
  is('leak-burst', 0.01, { ...HOURS_OF_FLOW, ...BURST, loss: [0.1, 1] }),
  hinted('steepest', 'heavy-use', 0.3, ({ now }) => (now.flowing > DAY_LONG_S ? null : LAWN)),
  passing(5, 'heavy-use', 0.3, {
    ...HOURS_OF_FLOW,
    duty: [0.05, 0.7],
    flowing: [2 * HOUR_S, 9 * HOUR_S],
    'run-length': 'any',
  }),
];
