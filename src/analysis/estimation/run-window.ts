/**
 * The rows that one run's balance is drawn up from: a stretch of rest before it, the run, a
 * stretch of rest after. Each point carries the gas volume and running integrals over time, which
 * may be averaged with a neighbour's without harm to a balance that is linear in them; so a run
 * of any length fits in a fixed number of points.
 */
const CAPACITY = 360;
const BEFORE_POINTS = 40;
const BEFORE_S = 150;
const AFTER_POINTS = 48;
const AFTER_S = 120;
/** Fresh points are kept apart this far, so that fast logs do not fill the window with noise. */
const AFTER_STEP_S = 2;

export interface RunWindow {
  n: number;
  /** Where the run's own points begin and where those after it begin. */
  runFrom: number;
  afterFrom: number;
  originS: number;
  timeS: Float64Array;
  /** Gas volume in reference units, its standard error. */
  volume: Float64Array;
  std: Float64Array;
  /** Integrals since the first point, s: of sqrt(p/ref), of x and of x squared (see delivery). */
  rootS: Float64Array;
  xS: Float64Array;
  xxS: Float64Array;
  lastRoot: number;
  lastX: number;
  phase: 'before' | 'run' | 'after';
}

export function createRunWindow(): RunWindow {
  const column = (): Float64Array => new Float64Array(CAPACITY);
  return {
    n: 0,
    runFrom: 0,
    afterFrom: 0,
    originS: 0,
    timeS: column(),
    volume: column(),
    std: column(),
    rootS: column(),
    xS: column(),
    xxS: column(),
    lastRoot: 0,
    lastX: 0,
    phase: 'before',
  };
}

export interface WindowPoint {
  timeS: number;
  volume: number;
  std: number;
  /** sqrt of gauge pressure over the reference, and pressure as delivery's x. */
  root: number;
  x: number;
}

export function pushWindow(window: RunWindow, point: WindowPoint): void {
  const last = window.n - 1;
  const sinceS = last < 0 ? Infinity : point.timeS - window.originS - window.timeS[last]!;
  const skip = window.phase !== 'run' && last >= 0 && sinceS < AFTER_STEP_S;
  if (skip && window.n > window.afterFrom + 4) return;
  if (window.n === 0) window.originS = point.timeS;
  const i = window.n;
  window.timeS[i] = point.timeS - window.originS;
  window.volume[i] = point.volume;
  window.std[i] = point.std;
  integrate(window, i, point);
  window.n += 1;
  if (window.phase === 'before') trimBefore(window);
  else if (window.n === CAPACITY) halveRun(window);
}

function integrate(window: RunWindow, i: number, point: WindowPoint): void {
  const stepS = i === 0 ? 0 : window.timeS[i]! - window.timeS[i - 1]!;
  const before = i === 0 ? 0 : i - 1;
  const xx = (point.x * point.x + point.x * window.lastX + window.lastX * window.lastX) / 3;
  window.rootS[i] = window.rootS[before]! + 0.5 * stepS * (point.root + window.lastRoot);
  window.xS[i] = window.xS[before]! + 0.5 * stepS * (point.x + window.lastX);
  window.xxS[i] = window.xxS[before]! + stepS * xx;
  if (i === 0) {
    window.rootS[0] = 0;
    window.xS[0] = 0;
    window.xxS[0] = 0;
  }
  window.lastRoot = point.root;
  window.lastX = point.x;
}

function columns(window: RunWindow): Float64Array[] {
  return [window.timeS, window.volume, window.std, window.rootS, window.xS, window.xxS];
}

function trimBefore(window: RunWindow): void {
  const lastS = window.timeS[window.n - 1]!;
  let drop = Math.max(0, window.n - BEFORE_POINTS);
  while (drop < window.n - 5 && lastS - window.timeS[drop]! > BEFORE_S) drop += 1;
  dropFirst(window, drop);
}

/** Forgets the first points and counts time and integrals from the first that stays. */
function dropFirst(window: RunWindow, drop: number): void {
  if (drop === 0) return;
  const { timeS, volume, std, rootS, xS, xxS } = window;
  const left = window.n - drop;
  const firstS = timeS[drop]!;
  const firstRoot = rootS[drop]!;
  const firstX = xS[drop]!;
  const firstXx = xxS[drop]!;
  for (let i = 0; i < left; i++) {
    const from = i + drop;
    timeS[i] = timeS[from]! - firstS;
    volume[i] = volume[from]!;
    std[i] = std[from]!;
    rootS[i] = rootS[from]! - firstRoot;
    xS[i] = xS[from]! - firstX;
    xxS[i] = xxS[from]! - firstXx;
  }
  window.n = left;
  window.originS += firstS;
}

/** Averages the run's points two by two, leaving the first and last few as they came. */
function halveRun(window: RunWindow): void {
  const end = window.phase === 'run' ? window.n : window.afterFrom;
  const from = window.runFrom + 12;
  const pairs = Math.floor((end - 12 - from) / 2);
  if (pairs < 1) return;
  for (const values of columns(window)) {
    for (let k = 0; k < pairs; k++)
      values[from + k] = 0.5 * (values[from + 2 * k]! + values[from + 2 * k + 1]!);
    if (values === window.std)
      for (let k = 0; k < pairs; k++) values[from + k] = values[from + k]! * Math.SQRT1_2;
    values.copyWithin(from + pairs, from + 2 * pairs, window.n);
  }
  window.n -= pairs;
  window.afterFrom -= window.phase === 'run' ? 0 : pairs;
}

export function windowRunBegins(window: RunWindow, startToS: number): void {
  window.phase = 'run';
  window.runFrom = indexFrom(window, startToS);
}

export function windowRunEnds(window: RunWindow, stopToS: number): void {
  window.phase = 'after';
  window.afterFrom = Math.max(window.runFrom, indexFrom(window, stopToS));
}

/** Whether enough of the rest after the run has been seen. */
export function windowIsFull(window: RunWindow, timeS: number, stopToS: number): boolean {
  if (window.phase !== 'after') return false;
  return timeS - stopToS > AFTER_S || window.n - window.afterFrom >= AFTER_POINTS;
}

/** After a run's balance is drawn up, its rest is the stretch before the next run. */
export function windowRestart(window: RunWindow, keepRest: boolean): void {
  dropFirst(window, keepRest ? Math.min(window.afterFrom, window.n) : window.n);
  window.phase = 'before';
  window.runFrom = 0;
  window.afterFrom = 0;
}

function indexFrom(window: RunWindow, timeS: number): number {
  let i = window.n;
  while (i > 0 && window.originS + window.timeS[i - 1]! >= timeS - 1e-6) i -= 1;
  return i;
}
