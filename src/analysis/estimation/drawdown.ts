import { GRAVITY_M_PER_S2 } from '../../physics/constants.ts';
import { casingStorageDrawdownM } from '../../physics/well/casing-storage-drawdown.ts';

/**
 * How far the water in the well is drawn down, by the one-tank model: the casing empties at
 * pump less inflow, inflow in proportion to drawdown. Specific capacity is not known beforehand,
 * so a few values are carried side by side, each with the evidence for it: runs that begin before
 * the well has recovered deliver less, by an amount that differs from value to value.
 */
const M2PS_PER_GPM_PER_FT = 6.30901964e-5 / 0.3048;
const CAPACITY_GRID = [0.03, 0.07, 0.15, 0.35, 0.8, 2, 5, 12].map((v) => v * M2PS_PER_GPM_PER_FT);
/** Rock wells, from memory: median about 0.4 gpm/ft, a factor of four either way. */
const PRIOR_CENTRE = 0.4 * M2PS_PER_GPM_PER_FT;
const PRIOR_LOG_STD = Math.log(4);
/** What a run's delivery scatters by for other reasons, relative, at the least. */
const SCATTER = 0.012;
/** The grid is coarse, and a real well is not one tank: a factor of two is left open. */
const FORM_LOG_STD = 0.7;
/** Runs that follow each other are not independent witnesses: each counts for a fraction. */
const EVIDENCE = 0.15;
const RHO = 999.7;

export interface Drawdown {
  casingAreaM2: number;
  casingRelStd: number;
  atS: number;
  /** Per specific capacity of the grid: drawdown now, cost of evidence, mean of deviations. */
  levelM: number[];
  cost: number[];
  meanDeviation: number[];
  runs: number;
  /** Mean square of deviations seen. */
  scatter: number;
  /** Water that stands over the intake when rested, m: the level cannot fall further. */
  deepestM: number;
}

export function createDrawdown(
  casingAreaM2: number,
  casingRelStd: number,
  deepestM: number,
): Drawdown {
  return {
    casingAreaM2,
    casingRelStd,
    atS: NaN,
    levelM: CAPACITY_GRID.map(() => 0),
    cost: CAPACITY_GRID.map((v) => (Math.log(v / PRIOR_CENTRE) / PRIOR_LOG_STD) ** 2),
    meanDeviation: CAPACITY_GRID.map(() => 0),
    runs: 0,
    scatter: 0.02 ** 2,
    deepestM,
  };
}

/** Odds of each specific capacity of the grid. */
function capacityOdds(state: Drawdown): number[] {
  const least = Math.min(...state.cost);
  const odds = state.cost.map((cost) => Math.exp(-0.5 * (cost - least)));
  const sum = odds.reduce((a, b) => a + b, 0);
  return odds.map((v) => v / sum);
}

/** Specific capacity [m2/s]: geometric mean over the odds, and its standard uncertainty. */
export function specificCapacity(state: Drawdown): { value: number; std: number } {
  const odds = capacityOdds(state);
  const mean = odds.reduce((sum, w, j) => sum + w * Math.log(CAPACITY_GRID[j]!), 0);
  const variance = odds.reduce((s, w, j) => s + w * (Math.log(CAPACITY_GRID[j]!) - mean) ** 2, 0);
  return { value: Math.exp(mean), std: Math.exp(mean) * Math.sqrt(variance + FORM_LOG_STD ** 2) };
}

/** Time in which the level recovers by two thirds [s], and its standard uncertainty. */
export function recoveryTime(state: Drawdown): { value: number; std: number } {
  const { value, std } = specificCapacity(state);
  const recoveryS = state.casingAreaM2 / value;
  return { value: recoveryS, std: recoveryS * Math.hypot(std / value, state.casingRelStd) };
}

/** Drawdown at a time into a run that began at `startS`, averaged over the odds [m]. */
export function drawdownInRun(
  state: Drawdown,
  startS: number,
  flowM3PerS: number,
): (sinceStartS: number) => number {
  const odds = capacityOdds(state);
  const starts = recoveredBy(state, startS);
  return (sinceS) =>
    odds.reduce((sum, w, j) => sum + w * levelAt(state, j, starts[j]!, flowM3PerS, sinceS), 0);
}

/** What a run did: when, how it deviated from expected delivery (relative), and how much. */
export interface DrawdownRun {
  startS: number;
  stopS: number;
  flowM3PerS: number;
  /** Relative change of delivery for one metre of level. */
  perM: number;
  deviation: number | null;
}

/** Takes a run in and returns the drawdown at its end with its standard uncertainty [m]. */
export function learnDrawdown(
  state: Drawdown,
  run: DrawdownRun,
): { deepestM: number; stdM: number } {
  const starts = recoveredBy(state, run.startS);
  const lengthS = run.stopS - run.startS;
  const odds = capacityOdds(state);
  const means = starts.map((m, j) => levelAt(state, j, m, run.flowM3PerS, lengthS / 2));
  const believed = means.reduce((sum, m, j) => sum + odds[j]! * m, 0);
  if (run.deviation !== null) weigh(state, run, means, believed);
  state.levelM = starts.map((m, j) => levelAt(state, j, m, run.flowM3PerS, lengthS));
  state.atS = run.stopS;
  state.runs += 1;
  const after = capacityOdds(state);
  const deepestM = state.levelM.reduce((sum, m, j) => sum + after[j]! * m, 0);
  const spread = state.levelM.reduce((sum, m, j) => sum + after[j]! * (m - deepestM) ** 2, 0);
  // Well loss, which the one-tank model leaves out, adds to the casing's own uncertainty.
  const own = deepestM * Math.hypot(state.casingRelStd * 2, 0.2);
  return { deepestM, stdM: Math.hypot(Math.sqrt(spread), own, 0.15) };
}

/** Delivery's x that a metre of drawdown is worth. */
export function xPerMetre(halfBandPa: number): number {
  return (RHO * GRAVITY_M_PER_S2) / halfBandPa;
}

function weigh(state: Drawdown, run: DrawdownRun, means: number[], believed: number): void {
  const gain = Math.max(1 / (state.runs + 1), 0.02);
  state.scatter += 0.05 * (Math.min(run.deviation! ** 2, 0.01) - state.scatter);
  const scatter = Math.max(Math.sqrt(state.scatter), SCATTER);
  for (let j = 0; j < means.length; j++) {
    const expected = run.perM * (means[j]! - believed);
    const rest = run.deviation! - expected;
    const surprise = Math.min(Math.abs(rest - state.meanDeviation[j]!) / scatter, 3);
    state.meanDeviation[j]! += gain * (rest - state.meanDeviation[j]!);
    state.cost[j] = 0.998 * state.cost[j]! + EVIDENCE * surprise ** 2;
  }
}

function recoveredBy(state: Drawdown, timeS: number): number[] {
  if (Number.isNaN(state.atS)) return state.levelM.slice();
  const restS = Math.max(timeS - state.atS, 0);
  return state.levelM.map(
    (m, j) => m * Math.exp((-restS * CAPACITY_GRID[j]!) / state.casingAreaM2),
  );
}

function levelAt(
  state: Drawdown,
  j: number,
  startM: number,
  flowM3PerS: number,
  timeS: number,
): number {
  const { casingAreaM2 } = state;
  const specificCapacityM2PerS = CAPACITY_GRID[j]!;
  const drawn = casingStorageDrawdownM({ flowM3PerS, specificCapacityM2PerS, casingAreaM2, timeS });
  const level = startM * Math.exp((-timeS * specificCapacityM2PerS) / casingAreaM2) + drawn;
  return Math.min(level, state.deepestM);
}
