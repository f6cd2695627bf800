import { HORSEPOWER_W } from '../../units/table.ts';

/** Rated horsepower and power factor at the greatest load the motor may carry. */
const WITHOUT = [
  [0.5, 0.695],
  [0.75, 0.71],
  [1, 0.71],
  [1.5, 0.75],
] as const;
const WITH = [
  [0.5, 0.97],
  [1, 0.98],
  [1.5, 0.81],
  [2, 0.875],
  [3, 0.925],
] as const;

/**
 * Power factor of a typical single-phase submersible motor at service-factor load. True motors
 * lie within about 0.05; a measured power factor is always better.
 * @param ratedPowerW shaft power on the nameplate [W], 1/3 to 5 hp; below and above the
 *   tabulated sizes the nearest one holds
 * @param capacitorRun whether a run capacitor stays in the circuit
 * @returns [-]; NaN outside the range
 * Reference: own table from nameplate watts, volts and amps of generic motors, from memory.
 */
export function typicalPowerFactor(ratedPowerW: number, capacitorRun: boolean): number {
  const horsepower = ratedPowerW / HORSEPOWER_W;
  if (!(horsepower >= 0.33 && horsepower <= 5.01)) return Number.NaN;
  const table = capacitorRun ? WITH : WITHOUT;
  let [sizeBefore, factorBefore]: readonly [number, number] = table[0];
  for (const [size, factor] of table) {
    if (horsepower <= size) {
      if (size === sizeBefore) return factor;
      const share = (horsepower - sizeBefore) / (size - sizeBefore);
      return factorBefore + share * (factor - factorBefore);
    }
    [sizeBefore, factorBefore] = [size, factor];
  }
  return factorBefore;
}
