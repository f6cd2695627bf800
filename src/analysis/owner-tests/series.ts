import { breakTankGas, createTankGas, gasExpansion, stepTankGas } from '../estimation/tank-gas.ts';
import { binsOf } from './gather.ts';
import type { Bin, Job } from './types.ts';

/** A bin with the gas volume over the tank constant [1/Pa] and its noise. */
export interface Point extends Bin {
  volume: number;
  std: number;
  /** ln of gas over wall temperature. */
  theta: number;
}

/** A stretch in which the pump ran, as the bins bound it. */
export interface RunSpan {
  from: number;
  to: number;
  startS: number;
  stopS: number;
}

/** The gas through the whole record: warmth of fills before the test is carried into it. */
export function pointsOf(job: Job): Point[] {
  const { record, before, noise, known } = job;
  const gas = createTankGas();
  breakTankGas(gas);
  gas.shares = record.shares;
  const frictionPa = before.frictionPa * before.b0 ** 2;
  return binsOf(record).map((bin) => {
    const tankPa = Math.max(bin.pressurePa - (bin.on ? frictionPa : 0), 0.2 * known.atmospherePa);
    stepTankGas(gas, bin.timeS, tankPa);
    const expansion = gasExpansion(gas);
    const noisePa = (bin.on ? noise.runningPa : noise.restPa) / Math.sqrt(bin.count);
    const volume = expansion / tankPa;
    return { ...bin, volume, std: (noisePa / tankPa) * volume, theta: Math.log(expansion) };
  });
}

export function runSpans(points: readonly Point[]): RunSpan[] {
  const spans: RunSpan[] = [];
  points.forEach((point, i) => {
    if (!point.on) return;
    const last = spans.at(-1);
    if (last !== undefined && last.to === i - 1) Object.assign(last, { to: i, stopS: point.timeS });
    else spans.push({ from: i, to: i, startS: point.timeS, stopS: point.timeS });
  });
  return spans;
}

export interface Line {
  n: number;
  slope: number;
  slopeStd: number;
  meanS: number;
  mean: number;
  /** Scatter about the line over the noise. */
  scatter: number;
}

/** Straight line of volume over time through points, by least squares; null for too few. */
export function lineOf(points: readonly Point[]): Line | null {
  const n = points.length;
  if (n < 3) return null;
  const meanS = points.reduce((sum, p) => sum + p.timeS, 0) / n;
  const mean = points.reduce((sum, p) => sum + p.volume, 0) / n;
  const std = Math.sqrt(points.reduce((sum, p) => sum + p.std ** 2, 0) / n);
  let tt = 0;
  let tv = 0;
  for (const p of points) {
    tt += (p.timeS - meanS) ** 2;
    tv += (p.timeS - meanS) * (p.volume - mean);
  }
  if (!(tt > 0)) return null;
  const slope = tv / tt;
  const squares = points.reduce(
    (sum, p) => sum + (p.volume - mean - slope * (p.timeS - meanS)) ** 2,
    0,
  );
  const scatter = Math.sqrt(squares / Math.max(n - 2, 1)) / std;
  return { n, slope, slopeStd: std / Math.sqrt(tt), meanS, mean, scatter };
}
