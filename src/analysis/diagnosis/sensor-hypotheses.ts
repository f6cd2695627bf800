import { PSI_PA } from '../../units/table.ts';
import {
  type Circumstances,
  type Hypothesis,
  is,
  type Move,
  ofFullRuns,
  psi,
  type Stretch,
  SUDDEN,
  times,
} from './hypothesis.ts';

/** Faults of the two sensors, by what they seem to move. */
export const SENSOR_HYPOTHESES: readonly Hypothesis[] = [
  is('pressure-drift', 0.04, ({ now, middlePa }) => ({
    'amps-slope': 'any',
    'cut-in': alike(now['cut-out'], 1.3, 15),
    'cut-out': [psi(-15, -1.3), psi(1.3, 15)],
    // Gas volume goes with one over pressure: delivery seems to change by twice the shift.
    delivery: around((-1.6 * shift(now)) / middlePa, 0.35),
    fill: 'any',
    'run-length': 'any',
  })),
  is('pressure-supply-sag', 0.01, {
    restarts: 'any',
    'amps-slope': 'any',
    'after-stop': psi(-16, -0.8),
    'cut-out': psi(-12, -0.3),
    dip: psi(0.3, 9),
    trips: 'any',
    delivery: times(0.75, 1.05),
    'dead-time': 'any',
    fade: 'any',
    fill: 'any',
  }),
  is('pressure-port-plugged', 0.01, ({ now }) =>
    ofFullRuns(now, {
      restarts: 'any',
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
      'amps-slope': 'any',
      loss: 'any',
      flowing: 'any',
    }),
  ),
  is('current-clamp-gap', 0.015, ({ now }) => ({
    // All amps shrink alike.
    peak: near(now.amps, 0.08),
    breaks: 'any',
    sudden: SUDDEN,
    amps: times(0.08, 0.93),
    jitter: 'any',
    trips: 'any',
  })),
  is('current-clipped', 0.005, {
    sudden: SUDDEN,
    amps: times(0.5, 0.985),
    'amps-slope': [-1.2, -0.5],
    jitter: [times(0.1, 0.6), times(0.9, 1.1)],
    // Readings that never fell on a start have nothing to lose there.
    'top-amps': [
      [-3, -0.5],
      [-0.4, 0.4],
    ],
    peak: [-3, -0.5],
    'start-amps': 'any',
    trips: 'any',
  }),
  // Cut off between the running amps and those of the start.
  is('current-clipped', 0.002, { peak: [-3, -0.7], 'top-amps': 'any', 'start-amps': 'any' }),
];

/** Both set points move alike when it is the sensor or the spring of the switch that moved. */
export function alike(shiftPa: number, leastPsi: number, mostPsi: number): Move {
  const least = leastPsi * PSI_PA;
  if (!(Math.abs(shiftPa) > least / 2)) return [psi(-mostPsi, -leastPsi), psi(leastPsi, mostPsi)];
  const tolerance = 0.8 * PSI_PA + 0.2 * Math.abs(shiftPa);
  return [shiftPa - tolerance, shiftPa + tolerance];
}

/** About as far as another measure stands. */
const near = (value: number, by: number): Move =>
  Number.isNaN(value) ? 'any' : [value - by, value + by];

const shift = (now: Circumstances['now']): number => (now['cut-in'] + now['cut-out']) / 2;

function around(centre: number, share: number): Stretch {
  if (Number.isNaN(centre)) return [-0.5, 0.5];
  const half = share * Math.abs(centre) + 0.02;
  return [centre - half, centre + half];
}
