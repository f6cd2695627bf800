/**
 * The steps that a channel's values stand on: value = count / divisor * scale + offset, computed in
 * doubles in this order, for whole counts. A value that the device printed with two decimals stands
 * on divisor 100; one that was converted on its way in has the scale or offset of its unit as well.
 */
export interface Grid {
  divisor: number;
  scale: number;
  offset: number;
}

export function onGrid({ divisor, scale, offset }: Grid, count: number): number {
  return (count / divisor) * scale + offset;
}

/** NaN where no count of a size that serves gives the very same double. */
export function countOn(grid: Grid, value: number): number {
  const count = Math.round(((value - grid.offset) / grid.scale) * grid.divisor);
  const same = Math.abs(count) < MOST_COUNT && Object.is(onGrid(grid, count), value);
  return same ? count : Number.NaN;
}

const MOST_COUNT = 2 ** 40;
const DIVISORS = [1, 10, 100, 1000, 1e4, 1e5, 1e6];
/** What SI makes of psi, mA or ms, and hPa; and of degrees Celsius. */
const SCALES = [1, 6894.757293168361, 0.001, 100];
const CELSIUS_K = 273.15;
/** A chunk names one by its number here: added to at the end only. */
export const USUAL_GRIDS: readonly Grid[] = [
  ...SCALES.flatMap((scale) => DIVISORS.map((divisor) => ({ divisor, scale, offset: 0 }))),
  ...DIVISORS.map((divisor) => ({ divisor, scale: 1, offset: CELSIUS_K })),
];
/** Values off the grid are written out; with more of them than one in eight it is no grid. */
const MOST_OFF = 1 / 8;
/** Steps that are so much coarser are worth a scale of their own. */
const MUCH = 8;
/** So many values tell nearly always that a grid is the wrong one. */
const FIRST_LOOK = 16;

/** The grid that most values stand on, nearly all of them; of several the coarsest. */
export function findGrid(values: Float64Array): Grid | null {
  let best: Grid | null = null;
  let least = MOST_OFF;
  for (const grid of USUAL_GRIDS) {
    const off = shareOff(grid, values, least);
    const coarser = best === null || grid.scale / grid.divisor > best.scale / best.divisor;
    if (off < least || (off === least && coarser)) {
      best = grid;
      least = off;
    }
  }
  // A converter's step may stand on fine decimals by chance: 10 / 1024 is 9765625 of a billionth.
  const measured = measuredGrid(values);
  if (best === null || measured === null) return best ?? measured;
  const isMuchCoarser = measured.scale > (MUCH * best.scale) / best.divisor;
  return isMuchCoarser && share(measured, values) <= least ? measured : best;
}

/** The share of the values that do not stand on the grid; 1 once it is clearly above `most`. */
function shareOff(grid: Grid, values: Float64Array, most: number): number {
  const first = share(grid, values.subarray(0, FIRST_LOOK));
  return first > most + MOST_OFF ? 1 : share(grid, values);
}

/** The share of the values that do not stand on the grid. */
function share(grid: Grid, values: Float64Array): number {
  let off = 0;
  for (const value of values) if (Number.isNaN(countOn(grid, value))) off++;
  return off / values.length;
}

/**
 * The grid of a converter: whole multiples of a step that is no round number. The step is the
 * greatest common divisor of the differences, made exact by the greatest value.
 */
function measuredGrid(values: Float64Array): Grid | null {
  const distinct = [...new Set(values)].sort((a, b) => a - b);
  const range = distinct.at(-1)! - distinct[0]!;
  let step = range;
  for (let i = 1; i < distinct.length; i++) {
    step = commonDivisor(step, distinct[i]! - distinct[i - 1]!, range * 1e-9);
    if (step < range / MOST_STEPS) return null;
  }
  const greatest = distinct.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a));
  const near = greatest / Math.round(greatest / step);
  for (const ulps of [0, 1, -1, 2, -2]) {
    const grid = { divisor: 1, scale: near * (1 + ulps * Number.EPSILON), offset: 0 };
    if (grid.scale > 0 && share(grid, values) <= MOST_OFF) return grid;
  }
  return null;
}

const MOST_STEPS = 2 ** 24;

function commonDivisor(a: number, b: number, tolerance: number): number {
  let [greater, less] = a > b ? [a, b] : [b, a];
  while (less > tolerance) {
    const rest = greater % less;
    greater = less;
    less = less - rest < tolerance ? 0 : rest;
  }
  return greater;
}
