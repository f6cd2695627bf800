import { stdAt, valueAt, xAt } from '../../base/line.ts';
import type { PairFit } from './fit.ts';
import type { Show } from './show.ts';
import type { CalibrateOptions, CalibrationPair, NextPoint } from './types.ts';

type Range = { from: number; to: number };

const CANDIDATES = 81;

/** Points nearer together than this share of the span are one to a bow. */
const SAME_LEVEL = 0.1;

/** A gain smaller than this is not worth the trouble. */
const LEAST_GAIN = 0.02;

/** Where a further point can be taken: as told, else from zero to the upper end of use. */
export function reachOf({ reach, use }: CalibrateOptions, span: Range | null): Range {
  if (reach !== undefined) return reach;
  return { from: 0, to: Math.max(use?.to ?? 0, span?.to ?? 0) };
}

/** Without a line: the end of the reach farthest from what there is. */
export function firstPoint(
  pairs: readonly CalibrationPair[],
  reach: Range,
  show: Show,
): NextPoint | null {
  const known = pairs.map(({ reference }) => reference).filter(Number.isFinite);
  const middle = known.length === 0 ? reach.to : known.reduce((a, b) => a + b, 0) / known.length;
  const value = middle - reach.from > reach.to - middle ? reach.from : reach.to;
  if (!(reach.to > reach.from)) return null;
  return { raw: null, value, helps: null, says: `take a point at ${show.value(value)}` };
}

/**
 * The point that helps most. Two values are joined by a line whatever the sensor does, so the
 * third is for the widest gap, to see whether it is straight. After that, the point after which
 * the greatest uncertainty within use is least.
 */
export function nextPoint(
  pairs: readonly CalibrationPair[],
  fit: PairFit,
  { use, reach, show }: { use: Range; reach: Range; show: Show },
): NextPoint | null {
  const { line } = fit;
  const rawAt = (value: number) => xAt(line, value);
  const sorted = pairs.map(({ reference }) => reference).toSorted((a, b) => a - b);
  const spacing = SAME_LEVEL * (sorted.at(-1)! - sorted[0]!);
  const levels: number[] = [];
  for (const value of sorted) {
    if (levels.length === 0 || value - levels.at(-1)! > spacing) levels.push(value);
  }
  if (levels.length < 3) {
    const value = (sorted[0]! + sorted.at(-1)!) / 2;
    const says =
      `take a point near ${show.value(value)}, between the two: only a third shows whether the ` +
      'sensor is straight';
    return { raw: rawAt(value), value, helps: null, says };
  }
  const std = typicalStd(fit);
  if (!(std > 0) || !(reach.to > reach.from)) return null;
  const now = worstWithin(use, (value) => stdAt(line, rawAt(value)));
  const tried = Array.from({ length: CANDIDATES }, (_, i) => {
    const value = reach.from + ((reach.to - reach.from) * i) / (CANDIDATES - 1);
    const raw = rawAt(value);
    const worst = worstWithin(use, (at) => stdAfter(fit, { raw, std }, rawAt(at)));
    return { raw, value, worst };
  });
  const best = tried.reduce((a, b) => (b.worst < a.worst * (1 - 1e-9) ? b : a));
  if (!(best.worst < now * (1 - LEAST_GAIN))) return null;
  const says =
    `take a point near ${show.value(best.value)}: the greatest uncertainty from ` +
    `${show.value(use.from)} to ${show.value(use.to)} falls from ±${show.value(2 * now)} to ` +
    `±${show.value(2 * best.worst)}`;
  const helps = { stdNow: now, stdThen: best.worst };
  return { raw: best.raw, value: best.value, helps, says };
}

/** The variance of a line is a parabola: greatest at an end. */
const worstWithin = ({ from, to }: Range, at: (value: number) => number): number =>
  Math.max(at(from), at(to));

const typicalStd = ({ stds }: PairFit): number =>
  stds.toSorted((a, b) => a - b)[Math.floor(stds.length / 2)] ?? Number.NaN;

/** Standard uncertainty of the line at `atRaw` after one more point (update of rank one). */
function stdAfter(fit: PairFit, point: { raw: number; std: number }, atRaw: number): number {
  const { line } = fit;
  const [atPoint, at] = [point.raw - line.aboutX, atRaw - line.aboutX];
  const covariance = (a: number, b: number) =>
    line.interceptVar + (a + b) * line.cov + a * b * line.slopeVar;
  const shared = covariance(atPoint, at);
  const pointVar = covariance(atPoint, atPoint) + point.std ** 2;
  return Math.sqrt(Math.max(0, covariance(at, at) - shared ** 2 / pointVar));
}

/** Value and uncertainty of the line at both ends of use. */
export function atEndsOfUse({ line }: PairFit, use: Range): { value: number; std: number }[] {
  return [use.from, use.to].map((wanted) => {
    const raw = xAt(line, wanted);
    return { value: valueAt(line, raw), std: stdAt(line, raw) };
  });
}
