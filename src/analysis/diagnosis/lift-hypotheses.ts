import type { FaultName } from '../../model/faults.ts';
import {
  GRADUAL,
  type Hypothesis,
  hinted,
  is,
  type Move,
  psi,
  type Stretch,
  SUDDEN,
  times,
} from './hypothesis.ts';
import type { Measure } from './measures.ts';

/** Less delivery makes the pump run for longer. */
const LESS = { flowing: 'any', duty: 'any', 'amps-slope': 'any', fade: 'any' } as const;

/**
 * Delivery that has fallen to between `least` and `most` of what it was: what grows is met in its
 * beginning as often as in all the rest.
 */
function weaker(
  fault: FaultName,
  perYear: number,
  [least, most]: Stretch,
  moves: Partial<Record<Measure, Move>>,
): Hypothesis[] {
  const grown = 1 - 0.35 * (1 - least);
  return [
    is(fault, perYear / 2, { ...LESS, ...moves, delivery: times(grown, most) }),
    is(fault, perYear / 2, { ...LESS, ...moves, delivery: times(least, grown) }),
  ];
}

const WORN = {
  sudden: GRADUAL,
  fill: times(0.4, 0.97),
  'run-length': times(1, 3),
} as const;

/** What the well gives and the pump lifts. */
export const LIFT_HYPOTHESES: readonly Hypothesis[] = [
  // Worn rings leak within and leave the amps; worn impellers take them down (handbook F18).
  ...weaker('pump-worn', 0.05, [0.5, 0.94], { ...WORN, amps: times(0.97, 1.012) }),
  ...weaker('pump-worn', 0.03, [0.5, 0.94], { ...WORN, amps: times(0.82, 0.985) }),
  ...weaker('static-level-falling', 0.02, [0.5, 0.94], {
    sudden: GRADUAL,
    fill: times(0.4, 0.97),
    amps: times(0.975, 1.004),
    'run-length': times(1, 3),
  }),
  ...weaker('intake-clogged', 0.02, [0.4, 0.92], {
    sudden: GRADUAL,
    fill: times(0.3, 0.95),
    amps: times(0.93, 1.002),
    'run-length': times(1, 4),
  }),
  ...weaker('valve-part-shut', 0.02, [0.4, 0.92], {
    sudden: SUDDEN,
    fill: times(0.3, 0.95),
    amps: times(0.93, 1.002),
    'run-length': times(1, 4),
  }),
  is('level-falling-in-run', 0.04, {
    flowing: 'any',
    duty: 'any',
    fade: times(0.03, 0.75),
    delivery: times(0.7, 1.03),
    fill: times(0.4, 1.05),
    amps: times(0.93, 1.004),
    'amps-slope': 'any',
    jitter: times(0.9, 4),
    'run-length': times(0.9, 8),
  }),
  is('screen-clogged', 0.01, {
    sudden: GRADUAL,
    fade: times(0.05, 0.8),
    delivery: times(0.75, 1.02),
    fill: 'any',
    amps: times(0.95, 1.004),
    'amps-slope': 'any',
    'run-length': times(0.9, 4),
  }),
  is('running-dry', 0.03, {
    flowing: 'any',
    breaks: 'any',
    duty: 'any',
    jitter: times(1.6, 60),
    fade: times(0.02, 0.8),
    delivery: times(0.3, 1.02),
    amps: times(0.4, 0.99),
    'amps-slope': 'any',
    fill: times(0.02, 1.05),
    'run-length': times(0.9, 60),
    trips: 'any',
    'after-stop': psi(-3, 1),
  }),
  hinted('jitter', 'gas-in-water', 0.01, {
    flowing: 'any',
    breaks: 'any',
    sudden: SUDDEN,
    jitter: times(1.5, 20),
    delivery: times(0.75, 1),
    fill: 'any',
    amps: times(0.88, 0.992),
    'amps-slope': 'any',
    'run-length': 'any',
  }),
];
