import type { FaultName } from '../../model/faults.ts';
import type { Bearing } from './types.ts';

/** No test speaks more strongly than this: it can have been made wrong. */
const LEAST = -8;

/** Density of a normal distribution. */
export function normal(x: number, mean: number, std: number): number {
  return Math.exp(-0.5 * ((x - mean) / std) ** 2) / (std * Math.sqrt(2 * Math.PI));
}

/** Standard normal distribution up to x: Abramowitz and Stegun 7.1.26, within 1e-7. */
export function normalUpTo(x: number): number {
  const t = 1 / (1 + 0.3275911 * (Math.abs(x) / Math.SQRT2));
  const tail =
    t *
    (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
  const half = 0.5 * tail * Math.exp(-0.5 * x * x);
  return x > 0 ? 1 - half : half;
}

/** Mean of a function over a range, by the midpoint rule. */
export function meanOver(low: number, high: number, of: (x: number) => number, steps = 24): number {
  let sum = 0;
  for (let k = 0; k < steps; k++) sum += of(low + ((k + 0.5) / steps) * (high - low));
  return sum / steps;
}

/** Likelihoods as bearings: relative to the best account, "no such fault" among them. */
export function bearings(
  likelihoods: readonly (readonly [fault: FaultName, likelihood: number])[],
  sound: number,
): Bearing[] {
  const best = Math.max(sound, ...likelihoods.map(([, likelihood]) => likelihood));
  if (!(best > 0)) return [];
  const log = (likelihood: number): number => Math.max(Math.log(likelihood / best), LEAST);
  return likelihoods.map(([fault, likelihood]) => ({
    fault,
    logLikelihood: log(likelihood),
    overSound: log(likelihood) - log(sound),
  }));
}
