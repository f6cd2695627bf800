import { PSI_PA } from '../../units/table.ts';
import type { RunBalance } from './run-balance.ts';
import type { Settling } from './settling.ts';
import type { EstimationState } from './state.ts';

/** How well tee friction is known [Pa], at the usual delivery. */
export function frictionDoubtPa(state: EstimationState): number {
  const frictionPa = state.frictionPa * state.delivery.b0 ** 2;
  return state.frictionRuns > 5 ? 0.15 * PSI_PA + 0.15 * frictionPa : PSI_PA;
}

/**
 * The most that tee and fittings take at the usual delivery (common practice: 0.2 to 3 psi). More
 * than that and delivery makes itself up: friction, slope and use at the start trade off.
 */
const MOST_PA = 3 * PSI_PA;

/** The pressure step at a stop whose time is known well is tee friction. */
export function learnFriction(state: EstimationState, balance: RunBalance, job: Settling): void {
  const { run, known } = job;
  if (run.stopToS - run.stopFromS > 2.1 || run.breaks > 0) return;
  if (Number.isNaN(state.medianCutOutPa)) return;
  const { step, netPerMin } = stepAtStop(state, balance);
  // A stop with next to no inflow before it says nothing of friction.
  if (Number.isNaN(step) || !(netPerMin > 0.4 * state.delivery.b0)) return;
  const pressurePa = state.medianCutOutPa + known.atmospherePa;
  const extraPa = (step * pressurePa * pressurePa) / known.referencePa;
  const gain = Math.max(1 / (state.frictionRuns + 2), 0.05);
  const clipped = Math.max(Math.min(extraPa, PSI_PA), -PSI_PA);
  const next = state.frictionPa + (gain * clipped) / netPerMin ** 2;
  state.frictionPa = Math.min(Math.max(next, 0), MOST_PA / state.delivery.b0 ** 2);
  state.frictionRuns += 1;
}

const BEFORE_STOP_S = 12;
const AFTER_STOP_S = 3.5;
/** A reading later than this after the stop says nothing of a step at it. */
const TOO_LATE_S = 6;

/**
 * Growth of the gas volume across the stop that no water explains: a straight line through the
 * last readings of the run, carried to the stop, against the first readings after it.
 */
function stepAtStop(
  state: EstimationState,
  balance: RunBalance,
): { step: number; netPerMin: number } {
  const { window } = state;
  const stopS = balance.stopS - window.originS;
  const leaving = balance.openings.at(-1)?.rate ?? 0;
  const before: [number, number][] = [];
  const after: number[] = [];
  for (let i = 0; i < window.n; i++) {
    const since = window.timeS[i]! - stopS;
    if (i < window.afterFrom && since > -BEFORE_STOP_S) before.push([since, window.volume[i]!]);
    const soon = since < AFTER_STOP_S || (after.length === 0 && since < TOO_LATE_S);
    if (i >= window.afterFrom && soon) after.push(window.volume[i]! - (leaving * since) / 60);
  }
  if (before.length < 4 || after.length === 0) return { step: NaN, netPerMin: NaN };
  const { atZero, slope } = lineThrough(before);
  const rest = after.reduce((sum, v) => sum + v, 0) / after.length;
  return { step: rest - atZero, netPerMin: -60 * slope };
}

/** Height at zero and slope of the least-squares line through points. */
function lineThrough(points: [number, number][]): { atZero: number; slope: number } {
  const n = points.length;
  const meanX = points.reduce((sum, [x]) => sum + x, 0) / n;
  const meanY = points.reduce((sum, [, y]) => sum + y, 0) / n;
  let xx = 0;
  let xy = 0;
  for (const [x, y] of points) {
    xx += (x - meanX) ** 2;
    xy += (x - meanX) * (y - meanY);
  }
  const slope = xx > 0 ? xy / xx : 0;
  return { atZero: meanY - slope * meanX, slope };
}
