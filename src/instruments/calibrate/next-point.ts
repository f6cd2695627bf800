import { stdAt, valueAt, xAt } from '../../base/line.ts';
import { coverageOf, type PairFit } from './fit.ts';
import { beyondShare, MOST_BEYOND } from './reach.ts';
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

interface Where {
  use: Range;
  reach: Range;
  show: Show;
}

/**
 * The point that helps most: the one after which the greatest uncertainty within use is least.
 * Two values are joined by a line whatever the sensor does, so where they span the use the third
 * is for the middle between them, to see whether the sensor is straight.
 */
export function nextPoint(
  pairs: readonly CalibrationPair[],
  fit: PairFit,
  where: Where,
): NextPoint | null {
  const { use, reach } = where;
  const references = pairs.map(({ reference }) => reference);
  const [low, high] = [Math.min(...references), Math.max(...references)];
  const isTwo = levelsOf(references, SAME_LEVEL * (high - low)) < 3;
  const canSearch = typicalStd(fit) > 0 && reach.to > reach.from;
  const isSpanned = beyondShare(use, { from: low, to: high }) <= MOST_BEYOND;
  if (isTwo && (isSpanned || !canSearch)) {
    const why = ', between the two: only a third shows whether the sensor is straight';
    return pointAt((low + high) / 2, fit, { ...where, why });
  }
  if (!canSearch) return null;
  const tried = Array.from({ length: CANDIDATES }, (_, i) => {
    const value = reach.from + ((reach.to - reach.from) * i) / (CANDIDATES - 1);
    return { value, stdThen: worstWith(value, fit, use) };
  });
  const best = tried.reduce((a, b) => (b.stdThen < a.stdThen * (1 - 1e-9) ? b : a));
  if (!(best.stdThen < worstNow(fit, use) * (1 - LEAST_GAIN))) return null;
  return pointAt(best.value, fit, { ...where, why: '' });
}

/** A further point with what it does to the greatest uncertainty within use. */
function pointAt(
  value: number,
  fit: PairFit,
  { use, show, why }: Where & { why: string },
): NextPoint {
  const raw = xAt(fit.line, value);
  const stdNow = worstNow(fit, use);
  const stdThen = worstWith(value, fit, use);
  const take = `take a point near ${show.value(value)}${why}`;
  if (!(stdThen > 0 && Number.isFinite(stdNow))) return { raw, value, helps: null, says: take };
  const coverage = coverageOf(fit);
  const spread = (of: number) => `±${show.spread(coverage * of)}`;
  const says =
    `${take}; the greatest uncertainty from ${show.value(use.from)} to ` +
    `${show.value(use.to)} falls from ${spread(stdNow)} to ${spread(stdThen)}`;
  return { raw, value, helps: { stdNow, stdThen }, says };
}

const worstNow = ({ line }: PairFit, use: Range): number =>
  worstWithin(use, (value) => stdAt(line, xAt(line, value)));

/** Greatest standard uncertainty within use with one more point, as sure as the others are. */
function worstWith(value: number, fit: PairFit, use: Range): number {
  const point = { raw: xAt(fit.line, value), std: typicalStd(fit) };
  return worstWithin(use, (at) => stdAfter(fit, point, xAt(fit.line, at)));
}

/** How many values are left when those nearer than `spacing` count as one. */
function levelsOf(values: readonly number[], spacing: number): number {
  const levels: number[] = [];
  for (const value of values.toSorted((a, b) => a - b)) {
    if (levels.length === 0 || value - levels.at(-1)! > spacing) levels.push(value);
  }
  return levels.length;
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
