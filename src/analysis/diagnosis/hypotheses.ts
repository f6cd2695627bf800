import { PSI_PA } from '../../units/table.ts';
import {
  type Circumstances,
  type Hypothesis,
  hinted,
  is,
  type Move,
  passing,
  psi,
  type Stretch,
  times,
} from './hypothesis.ts';

/** Share of a change that came within a few runs. */
const SUDDEN: Stretch = [0.5, 1.3];
const GRADUAL: Stretch = [0, 0.75];

const OTHER_PUMP = {
  sudden: SUDDEN,
  fill: 'any',
  'run-length': 'any',
  'after-stop': psi(-1.5, 3),
  jitter: 'any',
  roughness: 'any',
} as const;

/** What a house does whose pump does not start: taps are tried, and nothing comes. */
const WITHOUT_WATER = {
  'night-draws': 'any',
  steepest: 'any',
  dip: 'any',
  loss: 'any',
  duty: 'any',
  'run-length': 'any',
  spikes: 'any',
} as const;

/**
 * Each fault by what it moves (sign matrix of the trade, common practice; magnitudes from memory).
 * A measure that is not named stays where it was learnt. A fault with several looks has a row for
 * each.
 */
export const HYPOTHESES: readonly Hypothesis[] = [
  // The tank.
  is('tank-waterlogged', 0.05, {
    flickers: 'any',
    delivery: times(1.7, 30),
    fill: times(1.4, 30),
    'run-length': times(0.03, 0.75),
    'after-stop': psi(-0.5, 14),
    amps: 'any',
    jitter: 'any',
    roughness: 'any',
    steepest: 'any',
    'top-amps': 'any',
    'cut-out': psi(-1, 3),
    fade: 'any',
    'start-amps': 'any',
  }),
  is('precharge-low', 0.08, {
    sudden: GRADUAL,
    delivery: times(1.07, 1.9),
    fill: times(1, 1.9),
    'run-length': times(0.4, 1.05),
    steepest: 'any',
  }),
  is('precharge-high', 0.02, {
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
    sudden: SUDDEN,
    'cut-in': psi(1, 12),
    dip: 'any',
    delivery: times(0.7, 0.97),
    'run-length': 'any',
    steepest: times(0.9, 8),
    fade: 'any',
  }),
  is('tank-isolated', 0.005, {
    flickers: 'any',
    breaks: 'any',
    'run-length': times(0.002, 0.2),
    'after-stop': psi(3, 30),
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
    'start-amps': 'any',
    'top-amps': 'any',
    'set-spread': 'any',
    stalls: 'any',
    trips: 'any',
  }),
  // A pump too big for the tank: only where runs are in fact too short for the motor.
  is('tank-undersized', 0.03, ({ runS, shortestRunS }) =>
    runS < shortestRunS
      ? {
          sudden: SUDDEN,
          delivery: times(1.1, 2.5),
          fill: 'any',
          amps: times(1.1, 2.5),
          'run-length': times(0.15, 1),
          'after-stop': psi(-0.5, 6),
          jitter: 'any',
          roughness: 'any',
          'start-amps': 'any',
        }
      : null,
  ),
  is('pump-changed', 0.012, { ...OTHER_PUMP, delivery: times(1.04, 2), amps: times(1.05, 2.5) }),
  is('pump-changed', 0.006, { ...OTHER_PUMP, delivery: times(0.5, 0.96), amps: times(0.4, 0.95) }),

  // Water that leaves.
  is('leak-house', 0.1, {
    duty: [-0.1, 0.3],
    loss: [0.003, 0.5],
    steepest: 'any',
    'night-draws': 'any',
    'run-length': 'any',
    fade: 'any',
  }),
  is('fixture-running', 0.02, {
    duty: [-0.1, 0.15],
    loss: [0.008, 0.2],
    steepest: 'any',
    'night-draws': 'any',
    'run-length': 'any',
    fade: 'any',
  }),
  is('fixture-running', 0.1, {
    'night-draws': [4, 14],
    'run-length': 'any',
    duty: [-0.1, 0.15],
  }),
  is('check-valve-leak', 0.05, {
    duty: [-0.1, 0.3],
    loss: [0.003, 0.6],
    steepest: 'any',
    'night-draws': 'any',
    'run-length': 'any',
    'after-stop': 'any',
    fade: 'any',
  }),
  is('check-valve-leak', 0.02, { 'dead-time': [3, 40], fill: 'any' }),
  is('leak-before-house-valve', 0.03, {
    duty: [-0.1, 0.3],
    loss: [0.003, 0.5],
    steepest: 'any',
    'night-draws': 'any',
    'run-length': 'any',
    fade: 'any',
  }),
  is('filter-plugged', 0.03, { steepest: times(0.35, 0.85) }),
  is('water-hammer', 0.02, {
    flickers: 'any',
    roughness: times(1.8, 80),
    spikes: 'any',
    'after-stop': psi(-4, 8),
    'cut-out': psi(-6, 3),
    'cut-in': psi(-3, 6),
    dip: psi(-1, 8),
    'set-spread': 'any',
    steepest: times(0.9, 60),
    delivery: times(0.8, 1.2),
  }),
  is('water-hammer', 0.02, {
    flickers: 'any',
    roughness: 'any',
    spikes: [0.3, 20],
    'after-stop': psi(-4, 8),
    'cut-out': psi(-6, 3),
    'cut-in': psi(-3, 6),
    dip: psi(-1, 8),
    'set-spread': 'any',
    steepest: times(0.9, 60),
    delivery: times(0.8, 1.2),
  }),

  // Well and pump.
  is('pump-worn', 0.08, {
    sudden: GRADUAL,
    duty: 'any',
    delivery: times(0.5, 0.94),
    fill: times(0.4, 0.97),
    amps: times(0.82, 1.012),
    'run-length': times(1, 3),
    fade: 'any',
  }),
  is('static-level-falling', 0.02, {
    sudden: GRADUAL,
    duty: 'any',
    delivery: times(0.5, 0.94),
    fill: times(0.4, 0.97),
    amps: times(0.975, 1.004),
    'run-length': times(1, 3),
    fade: 'any',
  }),
  is('intake-clogged', 0.02, {
    sudden: GRADUAL,
    duty: 'any',
    delivery: times(0.4, 0.92),
    fill: times(0.3, 0.95),
    amps: times(0.93, 1.002),
    'run-length': times(1, 4),
    fade: 'any',
  }),
  is('valve-part-shut', 0.02, {
    sudden: SUDDEN,
    duty: 'any',
    delivery: times(0.4, 0.92),
    fill: times(0.3, 0.95),
    amps: times(0.93, 1.002),
    'run-length': times(1, 4),
    fade: 'any',
  }),
  is('level-falling-in-run', 0.04, {
    duty: 'any',
    fade: times(0.03, 0.75),
    delivery: times(0.7, 1.03),
    fill: times(0.4, 1.05),
    amps: times(0.93, 1.004),
    jitter: times(0.9, 4),
    'run-length': times(0.9, 8),
  }),
  is('screen-clogged', 0.01, {
    sudden: GRADUAL,
    fade: times(0.05, 0.8),
    delivery: times(0.75, 1.02),
    fill: 'any',
    amps: times(0.95, 1.004),
    'run-length': times(0.9, 4),
  }),
  is('running-dry', 0.03, {
    duty: 'any',
    jitter: times(1.6, 60),
    fade: times(0.02, 0.8),
    delivery: times(0.3, 1.02),
    amps: times(0.4, 0.99),
    fill: times(0.02, 1.05),
    'run-length': times(0.9, 60),
    trips: 'any',
    'after-stop': psi(-3, 1),
  }),
  is('gas-in-water', 0.01, {
    sudden: SUDDEN,
    jitter: times(1.5, 20),
    delivery: times(0.7, 1),
    fill: 'any',
    amps: times(0.85, 0.99),
    'run-length': 'any',
  }),
  is('drop-pipe-parted', 0.005, {
    duty: [0.25, 1],
    delivery: 'any',
    fill: times(0.01, 0.5),
    amps: times(0.92, 1.03),
    'run-length': times(2, 400),
    loss: 'any',
    'after-stop': 'any',
    steepest: 'any',
    fade: 'any',
  }),
  // Or the line empties into the well at every stop, and is filled anew.
  is('drop-pipe-parted', 0.01, {
    duty: [0.25, 1],
    delivery: 'any',
    fill: 'any',
    amps: times(0.92, 1.03),
    'run-length': times(1.3, 400),
    loss: 'any',
    'after-stop': psi(1.5, 25),
    steepest: times(1.6, 12),
    'top-amps': 'any',
    'start-amps': 'any',
    fade: 'any',
  }),
  is('leak-burst', 0.03, {
    fill: 'any',
    loss: 'any',
    duty: [0.3, 1],
    'run-length': times(1.1, 400),
    'start-amps': 'any',
    'after-stop': psi(-0.5, 12),
    'night-draws': 'any',
    steepest: times(1.05, 12),
    fade: 'any',
  }),
  passing(8, 'heavy-use', 0.3, {
    fill: 'any',
    duty: [0.17, 0.6],
    'start-amps': 'any',
    'night-draws': 'any',
    'run-length': 'any',
    'after-stop': psi(-0.5, 12),
    fade: 'any',
    steepest: 'any',
    loss: 'any',
  }),

  // Motor and supply.
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
      ? { amps: times(1.02, 1.4), delivery: times(0.94, 1.01), 'run-length': times(0.95, 1.3) }
      : null,
  ),
  hinted('mains', 'voltage-low', 0.02, ({ runCapacitor }) => ({
    sudden: SUDDEN,
    mains: times(0.8, 0.96),
    amps: runCapacitor ? times(1.005, 1.1) : times(0.94, 1),
    delivery: times(0.9, 0.985),
    fill: 'any',
    'run-length': times(0.98, 1.4),
  })),
  hinted('mains', 'voltage-high', 0.02, ({ runCapacitor }) => ({
    sudden: SUDDEN,
    mains: times(1.04, 1.2),
    amps: runCapacitor ? times(0.96, 1.03) : times(1.015, 1.1),
    delivery: times(1, 1.07),
    fill: 'any',
    'run-length': times(0.7, 1.02),
  })),
  hinted('jitter', 'joint-hot', 0.008, {
    sudden: SUDDEN,
    breaks: 'any',
    mains: 'any',
    amps: times(0.98, 1.06),
    jitter: times(1.2, 6),
    delivery: times(0.95, 1.005),
    'start-amps': 'any',
  }),
  is('rotor-locked', 0.01, {
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
    ...WITHOUT_WATER,
    stalls: [0.05, 0.7],
    breaks: 'any',
    trips: 'any',
    'start-time': 'any',
    'start-amps': 'any',
    'cut-in': 'any',
    dip: 'any',
  }),
  is('start-circuit-weak', 0.02, { 'start-time': [0.2, 4], 'start-amps': 'any' }),
  is('overload-tripping', 0.02, {
    flickers: 'any',
    trips: [0.15, 1],
    'cut-out': psi(-25, 0),
    'run-length': times(0.1, 1.1),
    'cut-in': psi(0, 20),
    fade: 'any',
    amps: times(0.95, 1.4),
  }),

  // The pressure switch.
  is('switch-nipple-plugged', 0.03, {
    'cut-out': psi(1.3, 16),
    'cut-in': psi(-12, 1),
    'set-spread': 'any',
    dip: 'any',
    'after-stop': psi(-1, 8),
    'run-length': 'any',
    fade: 'any',
    roughness: 'any',
  }),
  is('switch-drift', 0.03, ({ now }) => ({
    'cut-in': alike(now['cut-out'], 1.6, 12),
    'cut-out': [psi(-12, -1.6), psi(1.6, 12)],
    'run-length': 'any',
  })),
  is('switch-drift', 0.02, { 'cut-in': [psi(-12, -1.6), psi(1.6, 12)], 'run-length': 'any' }),
  is('switch-drift', 0.02, { 'cut-out': [psi(-7, -1.6), psi(1.6, 7)], 'run-length': 'any' }),
  is('switch-chatter', 0.02, {
    flickers: [0.08, 1],
    'start-amps': 'any',
    'run-length': 'any',
    'set-spread': 'any',
    fill: 'any',
    fade: 'any',
    'after-stop': 'any',
    stalls: 'any',
    breaks: 'any',
    jitter: 'any',
    roughness: 'any',
    dip: psi(-1, 6),
    'cut-in': psi(-2, 2),
    trips: 'any',
  }),
  is('switch-chatter', 0.02, {
    'start-amps': [0.12, 2.2],
    breaks: 'any',
    jitter: 'any',
    roughness: 'any',
    dip: psi(-1, 6),
    'cut-in': psi(-2, 2),
    trips: 'any',
  }),
  is('switch-chatter', 0.02, {
    breaks: [0.08, 1],
    'start-amps': 'any',
    jitter: 'any',
    roughness: 'any',
    dip: psi(-1, 6),
    'cut-in': psi(-2, 2),
    trips: 'any',
  }),

  // The sensors.
  is('pressure-drift', 0.04, ({ now, middlePa }) => ({
    'cut-in': alike(now['cut-out'], 1.3, 15),
    'cut-out': [psi(-15, -1.3), psi(1.3, 15)],
    // Gas volume goes with one over pressure: delivery seems to change by twice the shift.
    delivery: around((-1.6 * shift(now)) / middlePa, 0.35),
    fill: 'any',
    'run-length': 'any',
  })),
  is('pressure-supply-sag', 0.01, {
    'after-stop': psi(-16, -0.8),
    'cut-out': psi(-12, -0.3),
    dip: psi(0.3, 9),
    delivery: times(0.75, 1.05),
    'dead-time': 'any',
    fade: 'any',
    fill: 'any',
  }),
  is('pressure-port-plugged', 0.01, {
    'dead-time': [2, 90],
    'after-stop': psi(-12, -0.8),
    'cut-in': psi(-2, 14),
    'cut-out': psi(-22, 0),
    delivery: 'any',
    fill: 'any',
    fade: 'any',
    steepest: times(0.1, 1),
    'run-length': 'any',
    trips: 'any',
    dip: 'any',
    amps: times(0.97, 1.03),
    loss: 'any',
  }),
  is('current-clamp-gap', 0.015, {
    sudden: SUDDEN,
    amps: times(0.08, 0.93),
    jitter: 'any',
    trips: 'any',
  }),
  is('current-clipped', 0.005, {
    sudden: SUDDEN,
    amps: times(0.5, 0.985),
    jitter: [times(0.1, 0.6), times(0.9, 1.1)],
    'top-amps': [-3, -0.5],
    'start-amps': 'any',
    trips: 'any',
  }),
];

/** Both set points move alike when it is the sensor or the spring of the switch that moved. */
function alike(shiftPa: number, leastPsi: number, mostPsi: number): Move {
  const least = leastPsi * PSI_PA;
  if (!(Math.abs(shiftPa) > least / 2)) return [psi(-mostPsi, -leastPsi), psi(leastPsi, mostPsi)];
  const tolerance = 0.8 * PSI_PA + 0.2 * Math.abs(shiftPa);
  return [shiftPa - tolerance, shiftPa + tolerance];
}

const shift = (now: Circumstances['now']): number => (now['cut-in'] + now['cut-out']) / 2;

function around(centre: number, share: number): Stretch {
  if (Number.isNaN(centre)) return [-0.5, 0.5];
  const half = share * Math.abs(centre) + 0.02;
  return [centre - half, centre + half];
}
