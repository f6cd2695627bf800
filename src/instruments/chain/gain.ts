import type { GainChoice } from './types.ts';
import { volts } from './words.ts';

/** Signals that a gain range has to hold, V above the zero of the converter. */
export interface Reach {
  /** Must be held: full range of the transducer, the running wave. */
  needsV: number;
  /** Better held too: the wave of a start. */
  wantsV: number;
  /** Names of both for the sentence. */
  needs: string;
  wants: string;
}

/**
 * The finest gain range that holds all that is wanted; where none does, the finest that holds
 * what is needed, with word of what is cut; where even that does not fit, the widest.
 * `told`: the range in use, V, or null. Null where no range is told.
 */
export function chooseGain(
  rangesV: readonly number[],
  reach: Reach,
  told: number | null,
): GainChoice | null {
  const widest = rangesV.at(-1);
  if (widest === undefined) return null;
  const inUseV = told ?? (rangesV.length === 1 ? widest : null);
  const holdsAll = rangesV.find((range) => range >= reach.wantsV);
  if (holdsAll !== undefined) {
    const why = `the finest range that holds ${reach.wants} (${volts(reach.wantsV)})`;
    return { inUseV, chosenV: holdsAll, why };
  }
  const holdsNeeded = rangesV.find((range) => range >= reach.needsV);
  const cut = `no range holds ${reach.wants} (${volts(reach.wantsV)})`;
  if (holdsNeeded === undefined) return { inUseV, chosenV: widest, why: `${cut}: the widest` };
  const why = `${cut}; this is the finest that holds ${reach.needs} (${volts(reach.needsV)})`;
  return { inUseV, chosenV: holdsNeeded, why };
}
