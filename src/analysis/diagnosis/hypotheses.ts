import type { Hypothesis } from './hypothesis.ts';
import { LIFT_HYPOTHESES } from './lift-hypotheses.ts';
import { MOTOR_HYPOTHESES } from './motor-hypotheses.ts';
import { SENSOR_HYPOTHESES } from './sensor-hypotheses.ts';
import { SWITCH_HYPOTHESES } from './switch-hypotheses.ts';
import { TANK_HYPOTHESES } from './tank-hypotheses.ts';
import { WATER_HYPOTHESES } from './water-hypotheses.ts';

/**
 * Each fault by what it moves (sign matrix of the trade, common practice; magnitudes from memory).
 * A measure that is not named stays where it was learnt. A fault with several looks has a row for
 * each.
 */
export const HYPOTHESES: readonly Hypothesis[] = [
  ...TANK_HYPOTHESES,
  ...WATER_HYPOTHESES,
  ...LIFT_HYPOTHESES,
  ...MOTOR_HYPOTHESES,
  ...SWITCH_HYPOTHESES,
  ...SENSOR_HYPOTHESES,
];
