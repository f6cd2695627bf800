import type { FaultName } from '../../model/faults.ts';
import { type Chance, reweighed } from './chances.ts';

/** What a device may tell beside pressure and current: NaN where it does not. */
export interface Beside {
  /** Temperature of the air at the device [K]. */
  airK: number;
  /** Mains voltage of the last two minutes [V]. */
  mainsV: number;
}

/**
 * Pipes freeze in some twenty nights of a year (from memory). Water in one by an outer wall is in
 * danger from here on, in none from there on [K].
 */
const FROST_K = 272.5;
const NO_FROST_K = 278;
/** Less than this is no supply [V]. */
const NO_SUPPLY_V = 50;

/** How far the room and the supply speak for or against what leaves a house without water. */
function factor(fault: FaultName, { airK, mainsV }: Beside): number {
  if (fault === 'frozen') return airK <= FROST_K ? 16 : airK > NO_FROST_K ? 0.02 : 1;
  if (fault === 'power-out') return mainsV < NO_SUPPLY_V ? 20 : mainsV >= NO_SUPPLY_V ? 0.02 : 1;
  return fault === 'switch-no-start' && mainsV < NO_SUPPLY_V ? 0.1 : 1;
}

/** Odds of what leaves a house without water, adding up to 1 again, likeliest first. */
export const noWaterOdds = (odds: readonly Chance[], beside: Beside): Chance[] =>
  reweighed(odds, (fault) => factor(fault, beside));
