import type { FaultName } from '../model/faults.ts';

/**
 * The share of the fully grown fault at which it has the size from which the table of what can be
 * known says that it shows. A smaller one is not judgeable. A fault that is not named here shows
 * whatever its size; what costs delivery is left to the first symptom (`first-symptom.ts`).
 */
export const SHOWS_FROM: Partial<Record<FaultName, number>> = {
  'tank-waterlogged': 0.59,
  'precharge-high': 0.5,
  'tank-undersized': 0.41,
  'leak-house': 0.5,
  'fixture-running': 0.5,
  'heavy-use': 0.375,
  'gas-in-water': 0.5,
  'pump-dragging': 0.78,
  'run-capacitor-weak': 0.4,
  'joint-hot': 0.5,
  'filter-plugged': 0.74,
  'pressure-supply-sag': 0.5,
  'pressure-port-plugged': 0.5,
  'sampling-too-slow': 0.5,
};
