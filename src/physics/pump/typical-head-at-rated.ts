import { GALLON_M3, HORSEPOWER_W } from '../../units/table.ts';
import { GRAVITY_M_PER_S2 } from '../constants.ts';

/** Rated horsepower and how many times its power a small motor may be loaded for good. */
const SERVICE_FACTOR = [
  [0.5, 1.6],
  [0.75, 1.5],
  [1, 1.4],
  [1.5, 1.3],
  [2, 1.25],
  [3, 1.15],
] as const;

/** Rated flow in gpm and best efficiency of small 4-inch multistage pumps. */
const EFFICIENCY = [
  [5, 0.47],
  [7, 0.53],
  [10, 0.58],
  [20, 0.6],
] as const;

/** Such pumps load their motor to this share of the service-factor power. */
const LOADING = 0.95;
const M3PS_PER_GPM = GALLON_M3 / 60;

/**
 * Head of a typical small submersible multistage pump at its rated flow, from what stands on the
 * nameplate, where no curve is at hand. Real pumps spread by about 10 %.
 * @param pump.ratedPowerW shaft power on the nameplate [W], 1/3 to 5 hp; beyond the tabulated
 *   sizes the nearest one's service factor holds
 * @param pump.ratedFlowM3PerS flow of best efficiency [m3/s], 3 to 40 gpm; the same of efficiency
 * @param pump.densityKgPerM3 [kg/m3], above 0
 * @returns [m of water]; NaN outside the range
 * Reference: own table of generic pumps from rated power, service factor and efficiency, from
 * memory; no maker. Head = efficiency * shaft power / (density * g * flow).
 */
export function typicalHeadAtRatedM(pump: {
  ratedPowerW: number;
  ratedFlowM3PerS: number;
  densityKgPerM3: number;
}): number {
  const { ratedPowerW, ratedFlowM3PerS, densityKgPerM3 } = pump;
  const horsepower = ratedPowerW / HORSEPOWER_W;
  const gpm = ratedFlowM3PerS / M3PS_PER_GPM;
  const inRange = horsepower >= 0.33 && horsepower <= 5.01 && gpm >= 2.99 && gpm <= 40.01;
  if (!(inRange && densityKgPerM3 > 0)) return Number.NaN;
  const shaftW = ratedPowerW * between(SERVICE_FACTOR, horsepower) * LOADING;
  const waterW = between(EFFICIENCY, gpm) * shaftW;
  return waterW / (densityKgPerM3 * GRAVITY_M_PER_S2 * ratedFlowM3PerS);
}

/** Straight lines between the rows; the end rows hold beyond them. */
function between(table: readonly (readonly [number, number])[], value: number): number {
  const right = table.findIndex(([at]) => value <= at);
  const [toX, toY] = table.at(right) ?? [Number.NaN, Number.NaN];
  const [fromX, fromY] = table[right - 1] ?? [toX, toY];
  if (right < 1) return toY;
  return fromY + ((value - fromX) / (toX - fromX)) * (toY - fromY);
}
