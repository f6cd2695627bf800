import { GRAVITY_M_PER_S2 } from '../../physics/constants.ts';
import { casingStorageDrawdownM } from '../../physics/well/casing-storage-drawdown.ts';
import type { Edge } from './edge-delivery.ts';
import {
  type Curve,
  createLevelFilter,
  type LevelFilter,
  learnLevelFilter,
  wanderLevelFilter,
} from './level-filter.ts';
import type { Supposed } from './supposed-wells.ts';

/**
 * How far the water in the well is drawn down, by the one-tank model: what the level falls in
 * empties at pump less inflow, inflow in proportion to drawdown. How much a well gives and stores
 * is not known beforehand, so many wells are carried side by side, each with the drawdown it
 * supposes and how well the edges of the runs agree with that (see level-filter).
 */
/** Runs that follow each other are not independent witnesses: each counts for a fraction. */
const EVIDENCE = 0.35;
/** Evidence is forgotten at this rate a run: a well may change. */
const MEMORY = 0.998;
/** A single surprise does not make all runs scatter. */
const SURPRISE_MOST = 9;
/** Gas takes about this long to cool (usual value: see tank-gas), s. */
const COOLING_S = 75;
const RHO = 999.7;

export interface Drawdown {
  supposed: Supposed[];
  casingRelStd: number;
  atS: number;
  /** Delivery that edges are counted in, reference units a minute; NaN until one was seen. */
  unit: number;
  /** Per well supposed: drawdown now, cost of evidence, its filter. */
  levelM: number[];
  cost: number[];
  filters: LevelFilter[];
  /** Runs with an edge that could be read. */
  runs: number;
  /** Of these, runs since edges were last learnt anew. */
  edgeRuns: number;
  /** How much wider starts, and stops, scatter than they say: running mean of squares. */
  scatter: [number, number];
  /** Water that stands over the intake when rested, m: the level cannot fall further. */
  deepestM: number;
}

export function createDrawdown(
  supposed: Supposed[],
  casingRelStd: number,
  deepestM: number,
): Drawdown {
  return {
    supposed,
    casingRelStd,
    atS: NaN,
    unit: NaN,
    levelM: supposed.map(() => 0),
    cost: supposed.map(() => 0),
    filters: [],
    runs: 0,
    edgeRuns: 0,
    scatter: [1, 1],
    deepestM,
  };
}

/** Cost of evidence and what is odd in the well itself. */
const costs = ({ supposed, cost }: Drawdown): number[] =>
  supposed.map(({ odd }, j) => odd + cost[j]!);

/** Odds of each well supposed. */
export function wellOdds(state: Drawdown): number[] {
  const all = costs(state);
  const least = Math.min(...all);
  const odds = all.map((cost) => Math.exp(-0.5 * (cost - least)));
  const sum = odds.reduce((a, b) => a + b, 0);
  return odds.map((v) => v / sum);
}

/** What takes water out of the casing. */
export interface Pumping {
  /** Mean flow as far as it is known from elsewhere, and cubic metres in a reference unit. */
  flowM3PerS: number;
  m3PerUnit: number;
  /** Delivery's x that a metre of drawdown is worth. */
  xPerM: number;
  /** What the nameplates say of delivery over x. */
  curve: Curve;
  /** Whether the pump delivered as it does when sound. */
  sound: boolean;
}

/** Drawdown at a time into a run that began at `startS`, averaged over the odds [m]. */
export function drawdownInRun(
  state: Drawdown,
  startS: number,
  pumping: Pumping,
): (sinceStartS: number) => number {
  const odds = wellOdds(state);
  const starts = recoveredBy(state, startS);
  const takes = state.supposed.map((_, j) => takenFrom(state, j, pumping, 0));
  return (sinceS) =>
    odds.reduce((sum, w, j) => sum + w * levelAt(state, j, starts[j]!, takes[j]!, sinceS), 0);
}

/** What a run did: when, and what its edges show; null where they cannot be read. */
export interface DrawdownRun extends Pumping {
  startS: number;
  stopS: number;
  atStart: Edge | null;
  atStop: Edge | null;
  /** The tank constant now over the one that the scale names. */
  tankFactor: number;
  /** Whether its edges say something of the well: not where the tank is not what it was. */
  teaches: boolean;
}

/** Takes a run in and returns the drawdown at its end that each well supposes [m]. */
export function learnDrawdown(state: Drawdown, run: DrawdownRun): number[] {
  const starts = recoveredBy(state, run.startS);
  const seen = [run.atStart, run.atStop].filter((edge) => edge !== null);
  const x = seen.reduce((sum, edge) => sum + edge.x / seen.length, 0);
  const takes = starts.map((_, j) => takenFrom(state, j, run, x));
  const at = (timeS: number): number[] =>
    starts.map((m, j) => levelAt(state, j, m, takes[j]!, timeS - run.startS));
  if (seen.length > 0) weigh(state, run, at);
  state.levelM = at(run.stopS);
  state.atS = run.stopS;
  return state.levelM;
}

/** The measure has changed: what edges are compared with is learnt anew, the well stays. */
export function reopenEdges(state: Drawdown): void {
  state.filters = [];
  state.edgeRuns = 0;
}

/** Another pump, tank or pipe: nor is delivery what it was. */
export function reopenPump(state: Drawdown): void {
  reopenEdges(state);
  state.unit = NaN;
}

/**
 * The tank's factor, if the edges bear it out: where the tank has shrunk they all have grown by
 * that much, for a pump does not. A factor that only a confused delivery has raised is not used.
 */
function borneOut(state: Drawdown, run: DrawdownRun, best: number): number {
  const edge = run.atStop ?? run.atStart!;
  const usual = state.unit * state.filters[best]!.mean[0]!;
  const off = (factor: number): number => Math.abs(Math.log((edge.perMin * factor) / usual));
  return off(run.tankFactor) < off(1) ? run.tankFactor : 1;
}

/** Delivery's x that a metre of drawdown is worth. */
export function xPerMetre(halfBandPa: number): number {
  return (RHO * GRAVITY_M_PER_S2) / halfBandPa;
}

function weigh(state: Drawdown, run: DrawdownRun, at: (timeS: number) => number[]): void {
  if (state.filters.length === 0) {
    state.filters = state.supposed.map(() => createLevelFilter(run.curve));
    if (Number.isNaN(state.unit)) state.unit = (run.atStart ?? run.atStop)!.perMin;
  }
  const restS = Number.isNaN(state.atS) ? Infinity : run.startS - state.atS;
  const edges = [
    { edge: run.atStart, atStop: false, warmth: Math.exp(-restS / COOLING_S) },
    { edge: run.atStop, atStop: true, warmth: Math.exp((run.startS - run.stopS) / COOLING_S) },
  ];
  for (const filter of state.filters) wanderLevelFilter(filter);
  state.runs += 1;
  state.edgeRuns += 1;
  for (const [j, cost] of state.cost.entries()) state.cost[j] = MEMORY * cost;
  const all = costs(state);
  const best = all.indexOf(Math.min(...all));
  const factor = borneOut(state, run, best);
  for (const { edge, atStop, warmth } of edges) {
    if (edge === null) continue;
    const levels = at(edge.atS);
    const side = atStop ? 1 : 0;
    const scatter = Math.sqrt(Math.max(state.scatter[side], 1));
    let squares = 0;
    const delivery = (factor * edge.perMin) / state.unit;
    const std = (factor * edge.std) / state.unit;
    for (const [j, filter] of state.filters.entries()) {
      const x = edge.x + run.xPerM * levels[j]!;
      const sight = { delivery, std, x, atStop, warmth };
      const { cost, square } = learnLevelFilter(filter, sight, scatter);
      if (run.teaches) state.cost[j]! += EVIDENCE * cost;
      if (j === best) squares = square;
    }
    state.scatter[side] += 0.05 * (Math.min(squares, SURPRISE_MOST) - state.scatter[side]);
  }
}

function recoveredBy(state: Drawdown, timeS: number): number[] {
  if (Number.isNaN(state.atS)) return state.levelM.slice();
  const restS = Math.max(timeS - state.atS, 0);
  return state.levelM.map((m, j) => {
    const { capacityM2PerS, areaM2 } = state.supposed[j]!;
    return m * Math.exp((-restS * capacityM2PerS) / areaM2);
  });
}

/** Flow out of the casing when full [m3/s], and by how much a metre of drawdown lessens it. */
interface Taken {
  flowM3PerS: number;
  perM: number;
}

/** Edges until delivery is better taken from them than from elsewhere. */
const LEARNT_RUNS = 6;

function takenFrom(state: Drawdown, j: number, pumping: Pumping, x: number): Taken {
  const filter = state.filters[j];
  const { flowM3PerS, curve, xPerM } = pumping;
  if (!pumping.sound) return { flowM3PerS, perM: 0 };
  if (filter === undefined || state.edgeRuns < LEARNT_RUNS)
    return { flowM3PerS, perM: -flowM3PerS * curve.slope * xPerM };
  const scale = (state.unit * pumping.m3PerUnit) / 60;
  const [rested, slope, bend] = filter.mean as [number, number, number];
  return {
    flowM3PerS: scale * Math.max(rested + slope * x + bend * x * x, 0),
    perM: scale * Math.max(-slope * xPerM, 0),
  };
}

/** The pump gives less the deeper it lifts, just as the well gives more: both slow the fall. */
function levelAt(
  state: Drawdown,
  j: number,
  startM: number,
  { flowM3PerS, perM }: Taken,
  timeS: number,
): number {
  const { capacityM2PerS, areaM2: casingAreaM2 } = state.supposed[j]!;
  const specificCapacityM2PerS = capacityM2PerS + perM;
  const drawn = casingStorageDrawdownM({ flowM3PerS, specificCapacityM2PerS, casingAreaM2, timeS });
  const level = startM * Math.exp((-timeS * specificCapacityM2PerS) / casingAreaM2) + drawn;
  return Math.min(level, state.deepestM);
}
