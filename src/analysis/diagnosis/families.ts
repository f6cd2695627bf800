import type { FaultName } from '../../model/faults.ts';

/** Faults that account for the same trouble: one cause is told once, as one of its family. */
export type Family =
  | 'tank'
  | 'loss'
  | 'lift'
  | 'motor'
  | 'start'
  | 'stop'
  | 'pressure-sensor'
  | 'current-sensor'
  | 'clock'
  | 'gap'
  | 'pipes';

export const FAMILY: Record<FaultName, Family> = {
  'tank-waterlogged': 'tank',
  'precharge-low': 'tank',
  'precharge-high': 'tank',
  'tank-isolated': 'tank',
  'tank-undersized': 'tank',
  'leak-house': 'loss',
  'leak-burst': 'lift',
  'fixture-running': 'loss',
  'heavy-use': 'lift',
  'relief-lifting': 'lift',
  'check-valve-leak': 'loss',
  'leak-before-house-valve': 'loss',
  'drop-pipe-parted': 'lift',
  'level-falling-in-run': 'lift',
  'running-dry': 'lift',
  'gas-in-water': 'lift',
  'screen-clogged': 'lift',
  'static-level-falling': 'lift',
  'pump-worn': 'lift',
  'intake-clogged': 'lift',
  'valve-part-shut': 'lift',
  'pump-uncoupled': 'lift',
  'pump-dragging': 'motor',
  'pump-changed': 'motor',
  'rotor-locked': 'start',
  'start-circuit-weak': 'start',
  'run-capacitor-weak': 'motor',
  'overload-tripping': 'start',
  'voltage-low': 'motor',
  'voltage-high': 'motor',
  'joint-hot': 'motor',
  'power-out': 'start',
  'switch-nipple-plugged': 'stop',
  'switch-drift': 'stop',
  'switch-chatter': 'start',
  'switch-welded': 'stop',
  'cut-out-unreachable': 'lift',
  'switch-no-start': 'start',
  'water-hammer': 'pipes',
  frozen: 'start',
  'filter-plugged': 'pipes',
  'pressure-wire-open': 'pressure-sensor',
  'pressure-wire-short': 'pressure-sensor',
  'pressure-supply-sag': 'pressure-sensor',
  'pressure-drift': 'pressure-sensor',
  'pressure-port-plugged': 'pressure-sensor',
  'current-clamp-gap': 'current-sensor',
  'current-clamp-off': 'current-sensor',
  'current-clipped': 'current-sensor',
  'adc-stuck': 'pressure-sensor',
  'clock-jump': 'clock',
  'data-gap': 'gap',
  'sampling-too-slow': 'gap',
  'unknown-trouble': 'lift',
};

/** While one of these is open, nothing is said that rests on pressure. */
export const PRESSURE_IN_DOUBT: readonly FaultName[] = [
  'pressure-wire-open',
  'pressure-wire-short',
  'adc-stuck',
];
