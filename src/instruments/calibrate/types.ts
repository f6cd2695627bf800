import type { FittedLine } from '../../base/line.ts';
import type { CautionId } from '../../model/cautions.ts';

/** One reading of the chain beside one of a gauge or clamp meter. */
export interface CalibrationPair {
  /** V or counts. */
  raw: number;
  /** Standard uncertainty of the raw value; 0 or NaN where not known. */
  rawStd: number;
  /** Pa gauge or A. */
  reference: number;
  /** Its standard uncertainty, Pa or A; 0 or NaN where not known. */
  referenceStd: number;
  /** Unix s; null where not told. */
  atS: number | null;
}

export interface CalibrateOptions {
  channel: 'pressure' | 'current';
  raw: 'V' | 'count';
  units: 'us' | 'si';
  /** Where readings will lie: cut-in to cut-out, zero to inrush. Pa gauge or A. */
  use: { from: number; to: number } | null;
  /** Where a further point can safely be taken; default from zero to the upper end of use. */
  reach?: { from: number; to: number };
}

export interface Refusal {
  id:
    | 'one-point'
    | 'no-spread'
    | 'unusable-value'
    | 'outlier'
    | 'scatter'
    | 'not-straight'
    | 'drift-between-points'
    | 'use-beyond-span';
  says: string;
  /** The number that shows it, and the limit it passes. */
  number: number;
  limit: number;
}

export interface Residual {
  raw: number;
  reference: number;
  /** Reference minus line, Pa or A. */
  residual: number;
  /** Standard uncertainty of the point about the line, Pa or A. */
  std: number;
}

export interface NextPoint {
  /** Null where no line tells it. */
  raw: number | null;
  /** Pa gauge or A. */
  value: number;
  /** Greatest standard uncertainty within use, Pa or A, now and with the point; null without. */
  helps: { stdNow: number; stdThen: number } | null;
  says: string;
}

export interface CalibrationReport {
  channel: 'pressure' | 'current';
  raw: 'V' | 'count';
  units: 'us' | 'si';
  /** Null where no line may be drawn; `refusals` says why. Its covariance counts the scatter. */
  line: FittedLine | null;
  /** Whether uncertainties of both sides, of the reference, or none were told. */
  weighted: 'both' | 'reference' | 'none';
  /** Weighted sum of squared residuals; NaN with no uncertainty told. */
  chiSquare: number;
  degreesOfFreedom: number;
  /** Factor by which points scatter more than they say, 1 or above. */
  widenedBy: number;
  /** Factor from a standard uncertainty of the line to one of 95.45 %: 2, more by few points. */
  coverage: number;
  /** Term in the square of the raw value if one is added: Pa or A for each raw unit squared. */
  curvature: { coefficient: number; std: number } | null;
  residuals: Residual[];
  /** Span of the reference values, Pa gauge or A. */
  span: { from: number; to: number } | null;
  refusals: Refusal[];
  /** Line at both ends of use: value and standard uncertainty, Pa or A. */
  uncertainties: { value: number; std: number }[];
  /** Decimals worth showing in `unit`, from the best place of the span; null without a line. */
  digits: { unit: string; decimals: number; says: string } | null;
  next: NextPoint | null;
  cautions: readonly CautionId[];
}
