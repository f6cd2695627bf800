import type { BalanceInput } from './run-balance.ts';
import type { RunWindow } from './run-window.ts';

export interface Columns {
  n: number;
  y: Float64Array;
  weight: Float64Array;
  /** One array a parameter. */
  design: Float64Array[];
  /** Prior information a parameter (1/variance) about its prior mean. */
  priorInfo: number[];
  priorMean: number[];
}

/** Contacts, column and transducer take about this long, s. */
const SWITCHING_S = 0.25;

export interface OnIntegrals {
  startS: number;
  stopS: number;
  /** Per point: integrals of 1 + bend x^2 and of x over the time pumped so far, minutes. */
  p0: Float64Array;
  p1: Float64Array;
  total0: number;
  total1: number;
  onMin: number;
}

const middle = (a: number, b: number): number => 0.5 * (a + b);

/** What goes with b0 and b1 over the time pumped, at each point and in all. */
export function pumpIntegrals(input: BalanceInput): OnIntegrals {
  const { window, bend } = input;
  const startS = middle(input.startFromS, input.startToS) - window.originS;
  const stopS = middle(input.stopFromS, input.stopToS) - window.originS;
  const at = (timeS: number): [number, number, number] => {
    const t = Math.min(Math.max(timeS, startS), stopS);
    return [t, interpolate(window, window.xS, t), interpolate(window, window.xxS, t)];
  };
  const drops: number[] = [];
  for (let k = 0; k + 1 < input.pauses.length; k += 2)
    drops.push(input.pauses[k]! - window.originS, input.pauses[k + 1]! - window.originS);
  const first = at(startS);
  const since = (timeS: number): { one: number; p0: number; p1: number } => {
    const end = at(timeS);
    let one = end[0] - first[0];
    let x = end[1] - first[1] + extraIntegral(input.extraX, end[0] - first[0]);
    let xx = end[2] - first[2];
    for (let k = 0; k < drops.length; k += 2) {
      if (timeS <= drops[k]!) break;
      const from = at(drops[k]!);
      const to = at(Math.min(drops[k + 1]!, timeS));
      one -= to[0] - from[0];
      x -= to[1] - from[1];
      xx -= to[2] - from[2];
    }
    return { one: one / 60, p0: (one + bend * xx) / 60, p1: x / 60 };
  };
  const p0 = new Float64Array(window.n);
  const p1 = new Float64Array(window.n);
  for (let i = 0; i < window.n; i++) {
    const so = since(window.timeS[i]!);
    p0[i] = so.p0;
    p1[i] = so.p1;
  }
  const all = since(stopS);
  return { startS, stopS, p0, p1, total0: all.p0, total1: all.p1, onMin: all.one };
}

/** Integral of the extra x over the run so far, by Simpson's rule: it is smooth. */
function extraIntegral(extraX: (s: number) => number, untilS: number): number {
  if (untilS <= 0) return 0;
  return (untilS / 6) * (extraX(0) + 4 * extraX(untilS / 2) + extraX(untilS));
}

function interpolate(window: RunWindow, values: Float64Array, timeS: number): number {
  const { timeS: t, n } = window;
  if (timeS <= t[0]!) return values[0]!;
  if (timeS >= t[n - 1]!) return values[n - 1]!;
  let low = 0;
  let high = n - 1;
  while (high - low > 1) {
    const mid = (low + high) >> 1;
    if (t[mid]! <= timeS) low = mid;
    else high = mid;
  }
  const share = (timeS - t[low]!) / (t[high]! - t[low]!);
  return values[low]! + share * (values[high]! - values[low]!);
}

/**
 * Parameters: 0 first volume, 1 b0, 2 b1, 3 start step, 4 stop step, 5 opening at first, 6 share of
 * the steady loss that pauses, 7 change of steady loss after the stop, 8 friction at the tee while
 * the pump runs; then one change of opening each.
 */
export const FIXED = 9;

export function baseColumns(input: BalanceInput, on: OnIntegrals): Columns {
  const { window, prior } = input;
  const n = window.n + (input.cutIn === null ? 0 : 1);
  const design = Array.from({ length: FIXED }, () => new Float64Array(n));
  const weight = new Float64Array(n);
  const y = new Float64Array(n);
  if (input.cutIn !== null) {
    // One more point: at the start, wherever it falls, the volume is that of the cut-in.
    y[n - 1] = input.cutIn.volume;
    weight[n - 1] = 1 / input.cutIn.std ** 2;
    design[0]![n - 1] = 1;
    design[5]![n - 1] = interpolate(window, window.rootS, on.startS) / 60;
  }
  for (let i = 0; i < window.n; i++) {
    y[i] = window.volume[i]!;
    weight[i] = 1 / window.std[i]! ** 2;
    design[0]![i] = 1;
    design[1]![i] = -on.p0[i]!;
    design[2]![i] = -on.p1[i]!;
    design[3]![i] = window.timeS[i]! > on.startS ? 1 : 0;
    design[4]![i] = window.timeS[i]! > on.stopS ? 1 : 0;
    design[5]![i] = window.rootS[i]! / 60;
    design[6]![i] = (-input.lossRate * within(window, i, on)) / 60;
    design[7]![i] = after(window, i, on) / 60;
    design[8]![i] = design[3]![i]! - design[4]![i]!;
  }
  const info = (fromS: number, toS: number): number => {
    const stdS = Math.hypot((toS - fromS) / Math.sqrt(12), SWITCHING_S);
    return 1 / ((stdS / 60) * prior.b0) ** 2;
  };
  return {
    n,
    y,
    weight,
    design,
    priorInfo: [
      0,
      0,
      0,
      info(input.startFromS, input.startToS),
      info(input.stopFromS, input.stopToS),
      1 / (0.5 * prior.b0) ** 2,
      1 / input.pausing.std ** 2,
      1 / (0.5 * input.lossRate + 1e-7) ** 2,
      1 / input.frictionStd ** 2,
    ],
    priorMean: [0, 0, 0, 0, 0, 0, input.pausing.share, 0, 0],
  };
}

/** Integral of sqrt(p/ref) over the run so far, s. */
function within(window: RunWindow, i: number, on: OnIntegrals): number {
  const until = Math.min(window.timeS[i]!, on.stopS);
  if (until <= on.startS) return 0;
  const at = (t: number): number => interpolate(window, window.rootS, t);
  return at(until) - at(on.startS);
}

/** Integral of sqrt(p/ref) since the stop, s. */
function after(window: RunWindow, i: number, on: OnIntegrals): number {
  if (window.timeS[i]! <= on.stopS) return 0;
  return window.rootS[i]! - interpolate(window, window.rootS, on.stopS);
}

/** One more opening, from a point on. */
export function opening(input: BalanceInput, at: number): Float64Array {
  const { window } = input;
  const column = new Float64Array(window.n + (input.cutIn === null ? 0 : 1));
  const from = window.rootS[at]!;
  for (let i = at + 1; i < window.n; i++) column[i] = (window.rootS[i]! - from) / 60;
  if (input.cutIn !== null) {
    const startS = middle(input.startFromS, input.startToS) - window.originS;
    column[window.n] = Math.max(interpolate(window, window.rootS, startS) - from, 0) / 60;
  }
  return column;
}
