import { stdAt, valueAt } from '../../base/line.ts';
import { studentFactor } from '../../base/student-t.ts';
import {
  bowOf,
  type ExtraTerm,
  extraTerm,
  fitPairs,
  freedomOf,
  orZero,
  type PairFit,
} from './fit.ts';
import { beyondShare, MOST_BEYOND } from './reach.ts';
import type { Show } from './show.ts';
import type { CalibrateOptions, CalibrationPair, Refusal } from './types.ts';

/** Ends nearer together than this many standard uncertainties give no slope: common practice. */
const LEAST_SPREAD = 4;

/** What would happen by chance once in a hundred calibrations is not taken for chance. */
const CHANCE = 0.01;

/** Why no line may be drawn at all; empty where one may. */
export function reasonsForNoLine(pairs: readonly CalibrationPair[], show: Show): Refusal[] {
  const bad = pairs.findIndex(({ raw, reference }) => !Number.isFinite(raw + reference));
  if (bad >= 0) {
    const says = `point ${bad + 1} is no number: nothing can be fitted with it`;
    return [{ id: 'unusable-value', says, number: bad + 1, limit: 0 }];
  }
  const distinct = new Set(pairs.map(({ raw }) => raw)).size;
  if (pairs.length < 2) {
    const says =
      'one point fixes no line: it cannot tell an error of the zero from one of the span. Take a ' +
      'second far from it';
    return [{ id: 'one-point', says, number: pairs.length, limit: 2 }];
  }
  const sides = [
    { ...spreadOf(pairs, 'raw', 'rawStd'), of: show.raw },
    { ...spreadOf(pairs, 'reference', 'referenceStd'), of: show.value },
  ];
  const narrow = sides.find(({ span, least }) => !(span > least));
  if (distinct >= 2 && narrow === undefined) return [];
  const { span, least, of } = narrow ?? sides[0]!;
  const needs = least > 0 ? `, less than ${of(least)} of doubt` : '';
  const says =
    `the points lie within ${of(span)}${needs}: a slope from them would be chance. Take one far ` +
    'from them';
  return [{ id: 'no-spread', says, number: span, limit: least }];
}

function spreadOf(
  pairs: readonly CalibrationPair[],
  key: 'raw' | 'reference',
  stdKey: 'rawStd' | 'referenceStd',
) {
  const values = pairs.map((pair) => pair[key]);
  const stds = pairs.map((pair) => pair[stdKey]).filter((std) => std > 0);
  return {
    span: Math.max(...values) - Math.min(...values),
    least: LEAST_SPREAD * Math.max(0, ...stds),
  };
}

/** What is wrong with a line that can be drawn: said once, by what explains it best. */
export function doubtsOf(
  pairs: readonly CalibrationPair[],
  fit: PairFit,
  { show, options }: { show: Show; options: CalibrateOptions },
): Refusal[] {
  const structure =
    outlierIn(pairs, show) ?? strongest([bowIn(pairs, fit, show), driftIn(pairs, fit, show)]);
  const main = structure ?? scatterIn(fit);
  const beyond = useBeyondSpan(pairs, options, show);
  return [main, beyond].filter((refusal) => refusal !== null);
}

const strongest = (found: (Refusal | null)[]): Refusal | null =>
  found.reduce(
    (a, b) => (a === null || (b !== null && b.number / b.limit > a.number / a.limit) ? b : a),
    null,
  );

/**
 * The one point that lies off the line through the others. Four points at least: of three, any
 * one could be wrong. It is an outlier only if the others lie straight without it.
 */
function outlierIn(pairs: readonly CalibrationPair[], show: Show): Refusal | null {
  if (pairs.length < 4) return null;
  let worst: { place: number; number: number; limit: number; off: number } | null = null;
  for (const [place, pair] of pairs.entries()) {
    const others = pairs.filter((_, i) => i !== place);
    const fit = fitPairs(others);
    if (!Number.isFinite(fit.line.slope)) continue;
    const off = pair.reference - valueAt(fit.line, pair.raw);
    const number = Math.abs(off) / Math.hypot(stdAt(fit.line, pair.raw), ownStd(pair, fit));
    const limit = studentFactor(1 - CHANCE / pairs.length, freedomOf(fit));
    if (number > limit && number / limit > (worst === null ? 0 : worst.number / worst.limit)) {
      worst = { place, number, limit, off };
    }
  }
  if (worst === null) return null;
  const { place, number, limit, off } = worst;
  const others = pairs.filter((_, i) => i !== place);
  if (isSure(extraTerm(others, fitPairs(others), bowOf(others)))) return null;
  const says =
    `point ${place + 1} (${show.raw(pairs[place]!.raw)}, ${show.value(pairs[place]!.reference)}) ` +
    `lies ${show.value(off)} off the line through the others, ${number.toFixed(1)} standard ` +
    `uncertainties (limit ${limit.toFixed(1)}): take it again; it is not left out by itself`;
  return { id: 'outlier', says, number, limit };
}

const ownStd = (pair: CalibrationPair, fit: PairFit): number => {
  if (fit.weighted === 'none') return fit.line.residualStd;
  const onLine = fit.line.slope * orZero(pair.rawStd);
  return fit.widenedBy * Math.hypot(orZero(pair.referenceStd), onLine);
};

const timesStd = ({ coefficient, std }: ExtraTerm) => Math.abs(coefficient) / std;
const limitFor = ({ degreesOfFreedom }: ExtraTerm) => studentFactor(1 - CHANCE, degreesOfFreedom);
const isSure = (term: ExtraTerm | null) => term !== null && timesStd(term) > limitFor(term);

function bowIn(pairs: readonly CalibrationPair[], fit: PairFit, show: Show): Refusal | null {
  const term = extraTerm(pairs, fit, bowOf(pairs));
  if (term === null || !isSure(term)) return null;
  const raws = pairs.map(({ raw }) => raw);
  const half = (Math.max(...raws) - Math.min(...raws)) / 2;
  // A bow over a span of two halves stands off its best line by half of c half^2 at most.
  const bow = Math.abs(term.coefficient) * half ** 2 * 0.5;
  const says =
    `the points bow: a straight line is wrong by up to about ${show.value(bow)} ` +
    `(${timesStd(term).toFixed(1)} standard uncertainties, limit ${limitFor(term).toFixed(1)}). ` +
    'The sensor, the converter near its ends or the reference is not straight';
  return { id: 'not-straight', says, number: timesStd(term), limit: limitFor(term) };
}

const HOUR_S = 3600;

function driftIn(pairs: readonly CalibrationPair[], fit: PairFit, show: Show): Refusal | null {
  const times = pairs.map(({ atS }) => atS);
  if (!times.every((atS) => atS !== null)) return null;
  const first = Math.min(...times);
  const hours = times.map((atS) => (atS - first) / HOUR_S);
  const term = extraTerm(pairs, fit, hours);
  if (term === null || !isSure(term)) return null;
  const says =
    `the points drift by ${show.value(term.coefficient)} an hour while they are taken ` +
    `(${timesStd(term).toFixed(1)} standard uncertainties, limit ${limitFor(term).toFixed(1)}): ` +
    'wait until sensor and gauge are at rest and of one temperature, then take them again, ' +
    'rising and falling';
  return { id: 'drift-between-points', says, number: timesStd(term), limit: limitFor(term) };
}

/** More scatter than the uncertainties told: the line's own are widened by it. */
function scatterIn(fit: PairFit): Refusal | null {
  if (fit.weighted === 'none' || fit.degreesOfFreedom < 1) return null;
  const limit = chiSquareLimit(fit.degreesOfFreedom);
  if (fit.chiSquare <= limit) return null;
  const says =
    `the points scatter ${fit.widenedBy.toFixed(1)} times as much as their uncertainties say ` +
    `(chi-square ${fit.chiSquare.toFixed(1)}, limit ${limit.toFixed(1)}): one of them is wrong, ` +
    'or the uncertainties are too small. Those of the line are widened by that much';
  return { id: 'scatter', says, number: fit.chiSquare, limit };
}

/** Normal deviate exceeded once in a hundred. */
const Z_ONE_PERCENT = 2.326348;

/**
 * Value that chi-square exceeds once in a hundred.
 * Source: Wilson and Hilferty; Abramowitz & Stegun 26.4.17. Within 2 % from one degree on.
 */
export function chiSquareLimit(degreesOfFreedom: number): number {
  const part = 2 / (9 * degreesOfFreedom);
  return degreesOfFreedom * (1 - part + Z_ONE_PERCENT * Math.sqrt(part)) ** 3;
}

function useBeyondSpan(
  pairs: readonly CalibrationPair[],
  { use }: CalibrateOptions,
  show: Show,
): Refusal | null {
  if (use === null) return null;
  const references = pairs.map(({ reference }) => reference);
  const low = Math.min(...references);
  const high = Math.max(...references);
  const number = beyondShare(use, { from: low, to: high });
  if (number <= MOST_BEYOND) return null;
  const says =
    `the points span ${show.value(low)} to ${show.value(high)}, it is used from ` +
    `${show.value(use.from)} to ${show.value(use.to)}: that is ${Math.round(100 * number)} % of ` +
    `the span beyond it (limit ${100 * MOST_BEYOND} %), where nothing shows that the line holds`;
  return { id: 'use-beyond-span', says, number, limit: MOST_BEYOND };
}
