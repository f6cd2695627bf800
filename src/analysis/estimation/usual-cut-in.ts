import { PSI_PA } from '../../units/table.ts';

/** Where the switch of a well closes, as the last runs began. */
export interface UsualCutIn {
  /** Gauge Pa. */
  lately: number[];
  /** See `startsBy`; NaN while not known. */
  leastPa: number;
  /** The last run ended at cut-out: the motor waits for the switch and not for its protector. */
  waits: boolean;
}

const KEPT = 20;
const KNOWN_FROM = 5;
/** A switch scatters at least so much, and the sensor reads it so exactly [Pa]. */
const LEAST_STD_PA = 0.15 * PSI_PA;
const READ_PA = 0.4 * PSI_PA;

export const createUsualCutIn = (): UsualCutIn => ({ lately: [], leastPa: NaN, waits: false });

/** A run is over: where it began [Pa gauge; NaN where that was not seen], and how it ended. */
export function noteCutIn(
  state: UsualCutIn,
  run: { begun: string; ended: string; cutIn: number },
): void {
  state.waits = run.ended === 'cut-out';
  if (run.begun !== 'cut-in' || Number.isNaN(run.cutIn)) return;
  state.lately.push(run.cutIn);
  if (state.lately.length > KEPT) state.lately.shift();
  if (state.lately.length >= KNOWN_FROM) state.leastPa = leastOf(state.lately);
}

/** Three standard deviations below the mean, held wider while few are known. */
function leastOf(lately: readonly number[]): number {
  const n = lately.length;
  const mean = lately.reduce((sum, one) => sum + one, 0) / n;
  const std = Math.sqrt(lately.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (n - 1));
  return mean - 3 * (1 + 2 / n) * Math.max(std, LEAST_STD_PA) - READ_PA;
}

/**
 * Below this the switch of this well has not left its pump off [Pa gauge]; NaN before five starts,
 * and while the pump may wait for its protector.
 */
export const startsBy = ({ leastPa, waits }: UsualCutIn): number => (waits ? leastPa : NaN);
