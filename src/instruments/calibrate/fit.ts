import { type FittedLine, fitLine, valueAt } from '../../base/line.ts';
import { studentFactor, TWO_SIGMA } from '../../base/student-t.ts';
import type { CalibrationPair } from './types.ts';
import { fitYork } from './york.ts';

export type Weighting = 'both' | 'reference' | 'none';

/** A line through pairs, with what is needed to judge it. */
export interface PairFit {
  weighted: Weighting;
  line: FittedLine;
  /** NaN where no uncertainty was told. */
  chiSquare: number;
  degreesOfFreedom: number;
  /** Factor by which the points scatter more than they say; it is in the covariance already. */
  widenedBy: number;
  residuals: number[];
  /** Standard uncertainty of each point about the line, widened. */
  stds: number[];
}

const isTold = (std: number) => Number.isFinite(std) && std > 0;
/** A standard uncertainty, 0 where it is not told. */
export const orZero = (std: number): number => (isTold(std) ? std : 0);

export function weightingOf(pairs: readonly CalibrationPair[]): Weighting {
  const all = pairs.every((pair) => isTold(pair.rawStd) || isTold(pair.referenceStd));
  if (!all) return 'none';
  return pairs.some((pair) => isTold(pair.rawStd)) ? 'both' : 'reference';
}

/** York's line where uncertainties are told; without, all points weigh the same. */
export function fitPairs(pairs: readonly CalibrationPair[]): PairFit {
  const x = pairs.map(({ raw }) => raw);
  const y = pairs.map(({ reference }) => reference);
  const weighted = weightingOf(pairs);
  const degreesOfFreedom = pairs.length - 2;
  const residualsOf = (line: FittedLine) => x.map((xi, i) => y[i]! - valueAt(line, xi));
  if (weighted === 'none') {
    const line = fitLine({ x, y, yStd: null });
    const stds = x.map(() => line.residualStd);
    const none = { chiSquare: Number.NaN, degreesOfFreedom, widenedBy: 1 };
    return { weighted, line, ...none, residuals: residualsOf(line), stds };
  }
  const xStd = pairs.map(({ rawStd }) => orZero(rawStd));
  const yStd = pairs.map(({ referenceStd }) => orZero(referenceStd));
  const { line, chiSquare } = fitYork({ x, y, xStd, yStd });
  const excess = degreesOfFreedom > 0 ? chiSquare / degreesOfFreedom : 1;
  const widenedBy = Math.sqrt(Math.max(1, excess));
  const stds = x.map((_, i) => widenedBy * Math.hypot(yStd[i]!, line.slope * xStd[i]!));
  const residuals = residualsOf(line);
  const rest = { chiSquare, degreesOfFreedom, widenedBy, residuals, stds };
  return { weighted, line: widened(line, widenedBy ** 2), ...rest };
}

const widened = (line: FittedLine, times: number): FittedLine => ({
  ...line,
  interceptVar: line.interceptVar * times,
  slopeVar: line.slopeVar * times,
  cov: line.cov * times,
});

/** Freedom of the line's uncertainty: without end where it was told and the points bear it out. */
export const freedomOf = (fit: PairFit): number =>
  fit.weighted === 'none' || fit.widenedBy > 1
    ? Math.max(1, fit.degreesOfFreedom)
    : Number.POSITIVE_INFINITY;

/** Factor from the standard uncertainty of the line to one of 95.45 % (GUM G.3.2). */
export const coverageOf = (fit: PairFit): number => studentFactor(TWO_SIGMA, freedomOf(fit));

/** A further term c z(raw) beside the line. */
export interface ExtraTerm {
  coefficient: number;
  std: number;
  /** Freedom left for its judgement; infinite where uncertainties were told and hold. */
  degreesOfFreedom: number;
}

/**
 * The coefficient that a term would have beside intercept and slope, were it fitted with them.
 * `z`: its value at each pair. Null where points are too few or z is itself a line in the raw
 * value. Source: partial regression, the theorem of Frisch, Waugh and Lovell (from memory).
 */
export function extraTerm(
  pairs: readonly CalibrationPair[],
  fit: PairFit,
  z: readonly number[],
): ExtraTerm | null {
  const degreesOfFreedom = pairs.length - 3;
  if (degreesOfFreedom < 1) return null;
  const x = pairs.map(({ raw }) => raw);
  const isKnown = fit.weighted !== 'none';
  const yStd = isKnown ? fit.stds.map((std) => std / fit.widenedBy) : x.map(() => 1);
  const bare = (values: readonly number[]) => {
    const line = fitLine({ x, y: values, yStd });
    return values.map((value, i) => value - valueAt(line, x[i]!));
  };
  const zBare = bare(z);
  const scale = Math.max(...z.map(Math.abs));
  if (!(Math.max(...zBare.map(Math.abs)) > 1e-9 * scale)) return null;
  const residuals = bare(pairs.map(({ reference }) => reference));
  const weight = (i: number) => 1 / yStd[i]! ** 2;
  const sum = (of: (i: number) => number) =>
    x.reduce((total, _, i) => total + weight(i) * of(i), 0);
  const squares = sum((i) => zBare[i]! ** 2);
  const coefficient = sum((i) => zBare[i]! * residuals[i]!) / squares;
  const left = sum((i) => (residuals[i]! - coefficient * zBare[i]!) ** 2) / degreesOfFreedom;
  const isWithin = isKnown && left <= 1;
  return {
    coefficient,
    std: Math.sqrt((isWithin ? 1 : left) / squares),
    degreesOfFreedom: isWithin ? Number.POSITIVE_INFINITY : degreesOfFreedom,
  };
}

/** Raw value from the middle of the span, squared: the bow of a line. */
export function bowOf(pairs: readonly CalibrationPair[]): number[] {
  const middle = pairs.reduce((sum, { raw }) => sum + raw, 0) / pairs.length;
  return pairs.map(({ raw }) => (raw - middle) ** 2);
}
