import { PSI_PA } from '../../units/table.ts';

/**
 * What a rise of pressure must show to be a run although a current that has shown the last runs
 * says off. Water hammer, a plugged port and a tank shut off make pressure spring back by more
 * than the rebound of gas: those begin anywhere and stay far from cut-out, or for one reading.
 */
export interface DoubtedRise {
  /** Runs in a row that the current has shown. */
  shown: number;
  /** Pressure at which the switch stops the pump, as the current showed it [Pa absolute]. */
  cutOutPa: number;
  /** Readings of the rise in hand that stand as high as a run comes. */
  high: number;
}

/** Runs after which the current is believed against pressure. */
const TRUSTED_RUNS = 3;
const FOLLOW = 0.1;
/** A run climbs at least this share of the way from cut-in to cut-out. */
const CLIMBED_SHARE = 0.6;
const HIGH_READINGS = 2;
/** It begins near the cut-in, or it comes near the cut-out though no reading fell near cut-in. */
const NEAR_CUT_IN_PA = 3 * PSI_PA;
const NEAR_CUT_OUT_PA = 2 * PSI_PA;
/** A signal that springs this far over the cut-out is no water. */
const OVER_CUT_OUT_PA = 15 * PSI_PA;

export function createDoubtedRise(): DoubtedRise {
  return { shown: 0, cutOutPa: NaN, high: 0 };
}

/** The current has shown a stop at this pressure [Pa absolute]. */
export function noteCutOut(doubt: DoubtedRise, pressurePa: number): void {
  if (Number.isNaN(pressurePa)) return;
  const { cutOutPa } = doubt;
  doubt.cutOutPa = Number.isNaN(cutOutPa)
    ? pressurePa
    : cutOutPa + FOLLOW * (pressurePa - cutOutPa);
}

/** Whether the current is to be believed when it says off against a rise of pressure. */
export function currentIsTrusted(doubt: DoubtedRise, cutInPa: number): boolean {
  return doubt.shown >= TRUSTED_RUNS && doubt.cutOutPa > cutInPa;
}

/** Takes a pressure of a rise from its lowest on [Pa absolute]; says whether it is a run's. */
export function isRunAfterAll(
  doubt: DoubtedRise,
  cutInPa: number,
  lowestPa: number,
  pressurePa: number,
): boolean {
  const climbPa = CLIMBED_SHARE * (doubt.cutOutPa - cutInPa);
  if (!(pressurePa - lowestPa >= climbPa && pressurePa < doubt.cutOutPa + OVER_CUT_OUT_PA))
    return false;
  const fromCutIn = lowestPa < cutInPa + NEAR_CUT_IN_PA;
  if (fromCutIn || pressurePa > doubt.cutOutPa - NEAR_CUT_OUT_PA) doubt.high += 1;
  return doubt.high >= HIGH_READINGS;
}
