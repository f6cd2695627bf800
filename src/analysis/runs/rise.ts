import { PSI_PA } from '../../units/table.ts';

/**
 * Finds the pump at work from pressure alone: without a pump, water only leaves, so pressure
 * falls, save for the small rebound of gas that a quick draw has cooled (handbook: 0.5 to 2 psi,
 * common practice). A rise beyond that from the lowest point on is a run that began there; it
 * has ended at the highest point when pressure falls back from it or stays below it too long.
 */
export interface Rise {
  lowestPa: number;
  lowestS: number;
  /** The time of the reading before the lowest, for how sure the start is. */
  beforeLowestS: number;
  /** When pressure was last hardly above the lowest, and the reading after: it rose from there. */
  lastLowS: number;
  afterLowS: number;
  highestPa: number;
  highestS: number;
  /** The time of the reading after the highest. */
  afterHighestS: number;
  lastS: number;
  rising: boolean;
}

const REBOUND_PA = 3 * PSI_PA;
const HARDLY_PA = 0.4 * PSI_PA;
const FALL_BACK_PA = 0.6 * PSI_PA;
/** A run climbs its first 3 psi within this; a slower rise is weather or a warming room. */
const CLIMB_S = 900;
const FLAT_S = 60;

export function createRise(): Rise {
  return {
    lowestPa: Infinity,
    lowestS: NaN,
    beforeLowestS: NaN,
    lastLowS: NaN,
    afterLowS: NaN,
    highestPa: -Infinity,
    highestS: NaN,
    afterHighestS: NaN,
    lastS: NaN,
    rising: false,
  };
}

export type RiseChange = 'began' | 'ended' | null;

/** Takes one pressure [s, Pa] with its noise [Pa] and says whether a rise began or ended. */
export function stepRise(
  rise: Rise,
  timeS: number,
  pressurePa: number,
  noisePa: number,
): RiseChange {
  const change = rise.rising
    ? whileRising(rise, timeS, pressurePa, noisePa)
    : whileFalling(rise, timeS, pressurePa, noisePa);
  rise.lastS = timeS;
  return change;
}

/** Forgets where it was: after a gap nothing is known of what pressure did. */
export function breakRise(rise: Rise): void {
  Object.assign(rise, createRise());
}

function whileFalling(rise: Rise, timeS: number, pressurePa: number, noisePa: number): RiseChange {
  if (pressurePa <= rise.lowestPa || timeS - rise.lowestS > CLIMB_S) {
    rise.lowestPa = pressurePa;
    rise.lowestS = timeS;
    rise.beforeLowestS = rise.lastS;
    noteLow(rise, timeS);
    return null;
  }
  if (pressurePa < rise.lowestPa + Math.max(HARDLY_PA, 5 * noisePa)) noteLow(rise, timeS);
  else if (Number.isNaN(rise.afterLowS)) rise.afterLowS = timeS;
  if (pressurePa - rise.lowestPa < Math.max(REBOUND_PA, 8 * noisePa)) return null;
  rise.rising = true;
  rise.highestPa = pressurePa;
  rise.highestS = timeS;
  rise.afterHighestS = NaN;
  return 'began';
}

function noteLow(rise: Rise, timeS: number): void {
  rise.lastLowS = timeS;
  rise.afterLowS = NaN;
}

function whileRising(rise: Rise, timeS: number, pressurePa: number, noisePa: number): RiseChange {
  if (pressurePa > rise.highestPa) {
    rise.highestPa = pressurePa;
    rise.highestS = timeS;
    rise.afterHighestS = NaN;
    return null;
  }
  if (Number.isNaN(rise.afterHighestS)) rise.afterHighestS = timeS;
  const fallen = rise.highestPa - pressurePa > Math.max(FALL_BACK_PA, 5 * noisePa);
  if (!fallen && timeS - rise.highestS < FLAT_S) return null;
  rise.rising = false;
  rise.lowestPa = pressurePa;
  rise.lowestS = timeS;
  rise.beforeLowestS = rise.lastS;
  noteLow(rise, timeS);
  return 'ended';
}
