import { conductorResistanceOhm } from './conductor-resistance.ts';

/**
 * Voltage lost in a two-wire copper cable, there and back. Reactance is left out: below 8 AWG
 * it is under a tenth of the resistance.
 * @param cable.currentA [A], 0 or more
 * @param cable.areaM2 cross-section of each conductor [m2], above 0
 * @param cable.lengthM one way [m], 0 or more
 * @param cable.temperatureK of the conductors [K], 223 to 423
 * @returns [V]; NaN outside the range
 * Reference: [nfpa-70], Chapter 9 Table 8 for resistances; drop = 2 * current * resistance.
 */
export function voltageDropV(cable: {
  currentA: number;
  areaM2: number;
  lengthM: number;
  temperatureK: number;
}): number {
  const { currentA, ...conductor } = cable;
  if (!(currentA >= 0)) return Number.NaN;
  return 2 * currentA * conductorResistanceOhm(conductor);
}
