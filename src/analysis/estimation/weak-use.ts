import type { RunWindow } from './run-window.ts';

/**
 * What people drew during a weak run, and with it what the pump gave: what the tank took plus what
 * was drawn. Of the pump nothing is supposed but that it gives about one flow all through its weak
 * spells (what the well yields). What was drawn just before the run and just after it is seen in
 * the tank; between lies a moment at which one became the other, and each moment is as likely as
 * it makes that flow steady.
 *
 * Volumes are in reference units (see tank-gas), rates in reference units a minute.
 */
export interface WeakWater {
  /** What the pump gave, and its standard error. */
  pumped: number;
  pumpedStd: number;
}

export interface WeakWaterInput {
  window: RunWindow;
  startS: number;
  stopS: number;
  /** Spells of low amps, flat pairs of from, to [s]. */
  spells: number[];
  /** The most that a sound pump gives, reference units a minute. */
  soundPerMin: number;
}

/** Draws are read off the tank over this long beside the run, and not less than so many points. */
const BESIDE_S = 45;
const BESIDE_POINTS = 4;
/** After a stop the column takes this long to settle. */
const SETTLES_S = 3;
/** Flow is judged over stretches of at least this. */
const STRETCH_S = 15;
/** Air in the water makes the flow swing, and stretches beside each other swing alike. */
const ALIKE = 3;
/** Use is not as steady as two openings and one moment make it. */
const UNSTEADY = 0.35;

interface Draw {
  /** At sqrt(p/ref) = 1. */
  opening: number;
  std: number;
}

/** Null where the run's beginning, its end or the rest beside it was not seen well enough. */
export function weakWater(input: WeakWaterInput): WeakWater | null {
  const { window } = input;
  const { from, to } = endsOf(window, input.startS, input.stopS);
  const before = drawOver(window, from - BESIDE_POINTS, from, -BESIDE_S);
  const after = drawOver(window, to, to + BESIDE_POINTS, BESIDE_S);
  if (before === null || after === null || to - from < 2) return null;
  const took = window.volume[from]! - window.volume[to]!;
  const use = useBetween(input, { from, to, before, after });
  const least = Math.max(took, 0);
  const most = Math.max((input.soundPerMin * (input.stopS - input.startS)) / 60, least);
  const pumped = Math.min(Math.max(took + use.volume, least), most);
  return {
    pumped,
    pumpedStd: Math.hypot(use.std, UNSTEADY * use.volume, Math.SQRT2 * window.std[to]!),
  };
}

/** What the tank took over a run: the least that was pumped. */
export function tookOver(window: RunWindow, startS: number, stopS: number): number {
  const { from, to } = endsOf(window, startS, stopS);
  return window.volume[from]! - window.volume[to]!;
}

/** The last point before the pump was on and the first after it. */
function endsOf(window: RunWindow, startS: number, stopS: number): { from: number; to: number } {
  return { from: pointAt(window, startS), to: Math.min(pointAt(window, stopS) + 1, window.n - 1) };
}

/** The last point not after a time. */
function pointAt(window: RunWindow, timeS: number): number {
  let i = window.n - 1;
  while (i > 0 && window.originS + window.timeS[i]! > timeS) i -= 1;
  return i;
}

/** What is drawn beside the run: points `a` to `b`, and further out as far as `reachS` allows. */
function drawOver(window: RunWindow, a: number, b: number, reachS: number): Draw | null {
  const { timeS, n } = window;
  let first = a;
  let last = b;
  if (reachS < 0) while (first > 0 && timeS[last]! - timeS[first - 1]! <= -reachS) first -= 1;
  else {
    const settledS = timeS[Math.min(first, n - 1)]! + SETTLES_S;
    while (first < n - 1 && timeS[first]! < settledS) first += 1;
    last = Math.max(last, first + BESIDE_POINTS);
    while (last < n - 1 && timeS[last + 1]! - timeS[first]! <= reachS) last += 1;
  }
  if (first < 0 || last > n - 1 || last - first < BESIDE_POINTS - 1) return null;
  return slopeOver(window, first, last);
}

/** Opening as the slope of volume over the integral of sqrt(p/ref), by least squares. */
function slopeOver(window: RunWindow, first: number, last: number): Draw | null {
  const count = last - first + 1;
  let x = 0;
  let y = 0;
  for (let i = first; i <= last; i++) {
    x += window.rootS[i]! / 60 / count;
    y += window.volume[i]! / count;
  }
  let xx = 0;
  let xy = 0;
  for (let i = first; i <= last; i++) {
    const dx = window.rootS[i]! / 60 - x;
    xx += dx * dx;
    xy += dx * (window.volume[i]! - y);
  }
  if (!(xx > 0)) return null;
  return { opening: Math.max(xy / xx, 0), std: window.std[last]! / Math.sqrt(xx) };
}

interface Between {
  from: number;
  to: number;
  before: Draw;
  after: Draw;
}

/** What was drawn in all, over the moments at which the one draw may have become the other. */
function useBetween(input: WeakWaterInput, run: Between): { volume: number; std: number } {
  const { window } = input;
  const { before, after } = run;
  const stretches = stretchesOf(input, run);
  const root = (from: number, to: number): number => (window.rootS[to]! - window.rootS[from]!) / 60;
  const tried = [run.from, ...stretches.map(({ to }) => to)].map((moment) => ({
    volume: before.opening * root(run.from, moment) + after.opening * root(moment, run.to),
    unsteady: unsteadiness(input, run, stretches, moment),
  }));
  const least = tried.reduce((a, b) => Math.min(a, b.unsteady.sum), Infinity);
  const flows = Math.max(stretches.filter(({ weak }) => weak).length - 2, 1);
  const variance = Math.max(least / flows, tried[0]!.unsteady.noise) * ALIKE;
  let sum = 0;
  let mean = 0;
  let square = 0;
  for (const { volume, unsteady } of tried) {
    const weight = variance > 0 ? Math.exp(-(unsteady.sum - least) / (2 * variance)) : 1;
    sum += weight;
    mean += weight * volume;
    square += weight * volume * volume;
  }
  mean /= sum;
  const all = root(run.from, run.to);
  return {
    volume: mean,
    std: Math.hypot(
      Math.sqrt(Math.max(square / sum - mean * mean, 0)),
      Math.max(before.std, after.std) * all,
    ),
  };
}

interface Stretch {
  from: number;
  to: number;
  minutes: number;
  weak: boolean;
}

function stretchesOf(input: WeakWaterInput, run: Between): Stretch[] {
  const { window, spells } = input;
  const out: Stretch[] = [];
  let from = run.from;
  for (let to = run.from + 1; to <= run.to; to++) {
    const lengthS = window.timeS[to]! - window.timeS[from]!;
    if (lengthS < STRETCH_S && to < run.to) continue;
    const a = window.originS + window.timeS[from]!;
    let lowS = 0;
    for (let k = 0; k + 1 < spells.length; k += 2)
      lowS += Math.max(Math.min(spells[k + 1]!, a + lengthS) - Math.max(spells[k]!, a), 0);
    out.push({ from, to, minutes: lengthS / 60, weak: lowS > 0.9 * lengthS });
    from = to;
  }
  return out;
}

/** How far the flow of the pump would be from one and the same, were `moment` the moment. */
function unsteadiness(
  input: WeakWaterInput,
  run: Between,
  stretches: Stretch[],
  moment: number,
): { sum: number; noise: number } {
  const { window } = input;
  const flows: number[] = [];
  let noise = 0;
  for (const { from, to, minutes, weak } of stretches) {
    if (!weak || minutes * 60 < 0.5 * STRETCH_S) continue;
    const opening = to <= moment ? run.before.opening : run.after.opening;
    const drawn = (opening * (window.rootS[to]! - window.rootS[from]!)) / 60;
    flows.push((window.volume[from]! - window.volume[to]! + drawn) / minutes);
    noise = Math.max(noise, 2 * (window.std[to]! / minutes) ** 2);
  }
  const mean = flows.reduce((sum, flow) => sum + flow, 0) / Math.max(flows.length, 1);
  const flow = Math.min(Math.max(mean, 0), input.soundPerMin);
  return { sum: flows.reduce((sum, one) => sum + (one - flow) ** 2, 0), noise };
}
