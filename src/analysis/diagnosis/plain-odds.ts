import type { FaultName } from '../../model/faults.ts';
import type { Chance } from './chances.ts';

type Odds = [FaultName, number][];

/** How often the plain sign of a fault means something else (from memory). */
const ODDS = {
  frozen: [
    ['frozen', 0.55],
    ['switch-no-start', 0.25],
    ['power-out', 0.15],
    ['unknown-trouble', 0.05],
  ],
  'pressure-wire-open': [
    ['pressure-wire-open', 0.95],
    ['unknown-trouble', 0.05],
  ],
  'pressure-wire-short': [
    ['pressure-wire-short', 0.95],
    ['unknown-trouble', 0.05],
  ],
  'adc-stuck': [
    ['adc-stuck', 0.85],
    ['pressure-port-plugged', 0.07],
    ['unknown-trouble', 0.08],
  ],
  'clock-jump': [
    ['clock-jump', 0.97],
    ['unknown-trouble', 0.03],
  ],
  'data-gap': [
    ['data-gap', 0.7],
    ['power-out', 0.25],
    ['unknown-trouble', 0.05],
  ],
  'current-clamp-off': [
    ['current-clamp-off', 0.95],
    ['unknown-trouble', 0.05],
  ],
  'sampling-too-slow': [
    ['sampling-too-slow', 0.97],
    ['unknown-trouble', 0.03],
  ],
  'rotor-locked': [
    ['rotor-locked', 0.6],
    ['start-circuit-weak', 0.32],
    ['unknown-trouble', 0.08],
  ],
  'start-circuit-weak': [
    ['start-circuit-weak', 0.75],
    ['rotor-locked', 0.15],
    ['unknown-trouble', 0.1],
  ],
  'switch-welded': [
    ['switch-welded', 0.75],
    ['switch-nipple-plugged', 0.15],
    ['switch-drift', 0.05],
    ['unknown-trouble', 0.05],
  ],
  'switch-no-start': [
    ['switch-no-start', 0.5],
    ['power-out', 0.4],
    ['frozen', 0.05],
    ['unknown-trouble', 0.05],
  ],
  'tank-waterlogged': [
    ['tank-waterlogged', 0.6],
    ['precharge-low', 0.12],
    ['tank-isolated', 0.15],
    ['unknown-trouble', 0.13],
  ],
} satisfies Partial<Record<FaultName, Odds>>;

/** A fault with a plain sign of its own. */
export type SignFault = keyof typeof ODDS;

/** Odds behind the plain sign of a fault, itself first. */
export function signOdds(sign: SignFault): Chance[] {
  const odds: Odds = ODDS[sign];
  return odds.map(([fault, probability]) => ({ fault, probability }));
}
