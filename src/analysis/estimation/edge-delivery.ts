import type { RunWindow } from './run-window.ts';
import type { Settling } from './settling.ts';

/**
 * Delivery at the edges of a run. What people draw goes on over a start or a stop as it was, so
 * the jump in how fast the gas grows is the pump's own delivery at that moment, whatever is open:
 * no belief about use or delivery enters, which is what makes it fit to look for drawdown with.
 */
export interface Edge {
  /** Delivery, reference units a minute, with its standard error. */
  perMin: number;
  std: number;
  /** Mean of delivery's x over the stretch of pumping, and when its middle was [s]. */
  x: number;
  atS: number;
}

/** Stretch of pumping and of rest that the two rates are taken from, s. */
const RUN_S = 20;
const REST_S = 30;
/** Contacts, riser and transducer take this long to settle, s. */
const SETTLES_S = 3;
/** A rate wants this many points. */
const LEAST_POINTS = 4;
/** The gas model's own share of the noise. */
const LEAST_REL = 3e-4;
/** Quiet stops after which the gas is known well enough to measure with. */
const GAS_STOPS = 3;
/** Residual over the noise at which something was opened or closed in the stretch. */
const BENT = 2.5;

interface EdgeRun {
  startFromS: number;
  startToS: number;
  stopFromS: number;
  stopToS: number;
  /** White noise of the gas volume while the pump runs and at rest, relative. */
  runningRel: number;
  restRel: number;
}

/** Both edges of a run; null where they cannot be read. */
export function edgesOf(job: Settling): { atStart: Edge | null; atStop: Edge | null } {
  const { run, state, known, noise } = job;
  const whole = run.begun === 'seen' && run.ended === 'seen' && run.breaks === 0;
  if (!whole || state.gas.stops < GAS_STOPS) return { atStart: null, atStop: null };
  const edges = {
    startFromS: run.startFromS,
    startToS: run.startToS,
    stopFromS: run.stopFromS,
    stopToS: run.stopToS,
    runningRel: Math.max(noise.runningPa / known.referencePa, LEAST_REL),
    restRel: Math.max(noise.restPa / known.referencePa, LEAST_REL),
  };
  return { atStart: edgeAtStart(state.window, edges), atStop: edgeAtStop(state.window, edges) };
}

function edgeAtStart(window: RunWindow, run: EdgeRun): Edge | null {
  const reach = Math.min(RUN_S, 0.45 * (run.stopFromS - run.startToS));
  const fromS = run.startToS + SETTLES_S;
  const rest = rateOver(window, run.startFromS - REST_S, run.startFromS, run.restRel);
  return edge(rest, rateOver(window, fromS, run.startToS + reach, run.runningRel));
}

function edgeAtStop(window: RunWindow, run: EdgeRun): Edge | null {
  const reach = Math.min(RUN_S, 0.45 * (run.stopFromS - run.startToS));
  const restS = run.stopToS + SETTLES_S;
  const rest = rateOver(window, restS, run.stopToS + REST_S, run.restRel);
  const running = rateOver(window, run.stopFromS - reach, run.stopFromS - 0.01, run.runningRel);
  return edge(rest, running);
}

function edge(rest: Rate | null, running: Rate | null): Edge | null {
  if (rest === null || running === null || running.perMin >= rest.perMin) return null;
  return {
    perMin: rest.perMin - running.perMin,
    std: Math.hypot(rest.std, running.std),
    x: running.x,
    atS: running.atS,
  };
}

interface Rate {
  perMin: number;
  std: number;
  x: number;
  atS: number;
}

/** Straight line through the gas volume over a stretch; null where it is no straight line. */
function rateOver(window: RunWindow, fromS: number, toS: number, noise: number): Rate | null {
  const { timeS, volume, xS, originS, n } = window;
  let first = 0;
  while (first < n && originS + timeS[first]! < fromS) first += 1;
  let end = first;
  while (end < n && originS + timeS[end]! <= toS) end += 1;
  const count = end - first;
  if (count < LEAST_POINTS) return null;
  let t = 0;
  let v = 0;
  for (let i = first; i < end; i++) {
    t += timeS[i]! / count;
    v += volume[i]! / count;
  }
  let tt = 0;
  let tv = 0;
  for (let i = first; i < end; i++) {
    tt += (timeS[i]! - t) ** 2;
    tv += (timeS[i]! - t) * (volume[i]! - v);
  }
  const slope = tv / tt;
  let rss = 0;
  for (let i = first; i < end; i++) rss += (volume[i]! - v - slope * (timeS[i]! - t)) ** 2;
  const residual = Math.sqrt(rss / (count - 2));
  const floor = noise * v;
  if (!(residual < BENT * floor)) return null;
  const spanS = timeS[end - 1]! - timeS[first]!;
  return {
    perMin: slope * 60,
    std: (60 * Math.max(residual, floor)) / Math.sqrt(tt),
    x: (xS[end - 1]! - xS[first]!) / spanS,
    atS: originS + t,
  };
}
