import type { FaultName } from '../../model/faults.ts';
import { below } from './odds.ts';

/** A run that goes on and does not get anywhere, as it stands. */
export interface LongRun {
  /** Amps over those expected at this pressure. */
  ampsRatio: number;
  /** How surely those are known. */
  ampsRelStd: number;
  /** Unsteadiness of the amps over that of usual runs; NaN until those are known. */
  jitterRatio: number;
  /** Pressure now between cut-in (0) and cut-out (1). */
  position: number;
  /** Highest that pressure rose in this run above where it started, in switch bands. */
  rose: number;
  /** Share of what the pump should have brought in the first minute that the tank took. */
  earlyShare: number;
  /** How long amps were as expected before they fell, s; NaN where they have not fallen. */
  goodForS: number;
  hours: number;
}

type Stretch = readonly [from: number, to: number];

interface Row {
  fault: FaultName;
  weight: number;
  amps: Stretch;
  position: Stretch;
  jitter: Stretch;
  rose: Stretch;
  early: Stretch;
  /** Hours over which it is to be met; it fades beyond. */
  hours: number;
  /** How often its amps fall only once the run goes on, where they fall. */
  later: number;
}

/** Amps told on change are silent while they stay. */
const STEADY = 0.3;
/** Low from within so long of the start is low at once. */
export const AT_ONCE_S = 8;

/**
 * Common practice (A.3 and B.3 of the trade's fault tables, from memory). Amps that fall in a run
 * fall with the water; a worn or uncoupled pump lacks them at once, and so does one that starts
 * without water, of which nothing comes up.
 */
const ROWS: readonly Row[] = [
  // weight, hours, later; amps, position, jitter, rose, early
  row('running-dry', 0.22, 48, 0.9, [0.4, 0.95], [-3, 0.95], [1.5, 60], [-0.1, 1], [-0.1, 1.05]),
  row('running-dry', 0.12, 48, 0.2, [0.4, 0.95], [-3, 0.95], [1.5, 60], [-0.3, 0.1], [-1.5, 0.2]),
  row(
    'pump-uncoupled',
    0.1,
    1e4,
    0.15,
    [0.35, 0.82],
    [-3, 0.3],
    [0.2, 1.6],
    [-0.3, 0.06],
    [-1.5, 0.15],
  ),
  row('gas-in-water', 0.05, 12, 0.85, [0.6, 0.97], [-1, 0.95], [1.8, 60], [0, 1], [0, 0.95]),
  row(
    'cut-out-unreachable',
    0.11,
    1e3,
    0.1,
    [0.45, 0.975],
    [0.4, 0.99],
    [0.2, 3],
    [0.05, 1],
    [0, 1.1],
  ),
  // The same while somebody draws water.
  row(
    'cut-out-unreachable',
    0.04,
    1e3,
    0.1,
    [0.45, 0.975],
    [-3, 0.4],
    [0.2, 3],
    [0.3, 1],
    [-0.5, 1.1],
  ),
  // The tank fills as ever until it opens, and then no further.
  row('relief-lifting', 0.06, 1e3, 0.5, [0.93, 1.03], [0.4, 1.3], [0.2, 2], [0.5, 2], [0.55, 1.15]),
  row('switch-welded', 0.05, 1e3, 0.5, [0.4, 1.03], [1.15, 6], [0.2, 2], [0.2, 6], [0.7, 1.15]),
  row(
    'drop-pipe-parted',
    0.04,
    1e4,
    0.5,
    [0.88, 1.03],
    [-3, 0.8],
    [0.2, 3],
    [-0.1, 1],
    [-0.3, 0.9],
  ),
  row('leak-burst', 0.1, 1e3, 0.5, [0.97, 1.03], [-3, 0.8], [0.2, 2], [-0.1, 1], [-1, 0.9]),
  row('heavy-use', 0.4, 3.5, 0.5, [0.97, 1.03], [-0.3, 0.8], [0.2, 2], [-0.1, 1], [-1, 1.05]),
];

function row(
  fault: FaultName,
  weight: number,
  hours: number,
  later: number,
  ...[amps, position, jitter, rose, early]: [Stretch, Stretch, Stretch, Stretch, Stretch]
): Row {
  return { fault, weight, hours, later, amps, position, jitter, rose, early };
}

const paceOf = ({ later }: Row, goodForS: number): number =>
  Number.isNaN(goodForS) ? 1 : goodForS > AT_ONCE_S ? later : 1 - later;

/** What is observed of it, each with all that bears on it. */
type Observed = 'hours' | 'pressure' | 'amps';

interface Weighed {
  fault: FaultName;
  w: number;
  logs: Record<Observed, number>;
}

function weigh(r: Row, seen: LongRun): Weighed {
  const ampsStd = Math.hypot(0.02, seen.ampsRelStd);
  const pressure =
    evenly(seen.position, r.position, 0.04) *
    evenly(seen.rose, r.rose, 0.05) *
    evenly(seen.earlyShare, r.early, 0.06);
  const amps =
    evenly(Math.log(seen.ampsRatio), logs(r.amps), ampsStd) *
    // Steadier than usual speaks of no trouble.
    evenly(Math.log(Math.max(seen.jitterRatio, STEADY)), logs(r.jitter), 0.35) *
    paceOf(r, seen.goodForS);
  const hours = Math.exp(-Math.max(seen.hours - 0.5, 0) / r.hours);
  return {
    fault: r.fault,
    w: r.weight * hours * pressure * amps,
    logs: { hours: Math.log(hours), pressure: Math.log(pressure), amps: Math.log(amps) },
  };
}

const logs = ([from, to]: Stretch): Stretch => [Math.log(from), Math.log(to)];

/**
 * Odds of what keeps a run from its end, most likely first, adding up to 1; the fault that comes
 * next, and by how much each observation speaks for the first over it: natural logarithm.
 */
export function longRunOdds(seen: LongRun): {
  odds: { fault: FaultName; probability: number }[];
  rival: FaultName | null;
  over: Record<Observed, number>;
} {
  const weighed = ROWS.map((r) => weigh(r, seen));
  const unknown = 2e-4;
  const sum = weighed.reduce((s, { w }) => s + w, unknown);
  const chance = new Map<FaultName, number>([['unknown-trouble', unknown / sum]]);
  for (const { fault, w } of weighed) chance.set(fault, (chance.get(fault) ?? 0) + w / sum);
  const odds = [...chance]
    .map(([fault, probability]) => ({ fault, probability }))
    .toSorted((a, b) => b.probability - a.probability);
  const [first, next] = odds.map(({ fault }) => bestOf(weighed, fault));
  if (first === null || first === undefined || !next)
    return { odds, rival: null, over: { hours: NaN, pressure: NaN, amps: NaN } };
  const over = (of: Observed): number => first.logs[of] - next.logs[of];
  return {
    odds,
    rival: next.fault,
    over: { hours: over('hours'), pressure: over('pressure'), amps: over('amps') },
  };
}

/** Of several looks of a fault the one that fits best; trouble without a name has none. */
function bestOf(all: readonly Weighed[], fault: FaultName): Weighed | null {
  const looks = all.filter((one) => one.fault === fault);
  return looks.toSorted((a, b) => b.w - a.w)[0] ?? null;
}

/** Density of a value that lies evenly between two bounds, blurred, with a little beyond. */
function evenly(value: number, [from, to]: readonly [number, number], std: number): number {
  if (Number.isNaN(value)) return 1;
  const inside = below((to - value) / std) - below((from - value) / std);
  return (inside + 0.002) / (to - from);
}
