import { stdAt } from '../../base/line.ts';
import { ACT_CAUTIONS, type CautionId } from '../../model/cautions.ts';
import { bowOf, coverageOf, extraTerm, fitPairs, type PairFit, weightingOf } from './fit.ts';
import { atEndsOfUse, firstPoint, nextPoint, reachOf } from './next-point.ts';
import { doubtsOf, reasonsForNoLine } from './refusals.ts';
import { decimalsFor, type Show, showFor } from './show.ts';
import type { CalibrateOptions, CalibrationPair, CalibrationReport, NextPoint } from './types.ts';

/**
 * A straight line through paired readings of the chain and a gauge or clamp meter, uncertain on
 * both sides, with what cannot be claimed of it said in words. `line` gives the value at a raw
 * reading and its uncertainty through `valueAt` and `stdAt` of `src/base/line.ts`.
 */
export function calibrate(
  pairs: readonly CalibrationPair[],
  options: CalibrateOptions,
): CalibrationReport {
  const show = showFor(options);
  const { channel, raw, units } = options;
  const refusals = reasonsForNoLine(pairs, show);
  const span = spanOf(pairs);
  const reach = reachOf(options, span);
  const common = { channel, raw, units, span };
  if (refusals.length > 0 || span === null) {
    const next = firstPoint(pairs, reach, show);
    return {
      ...common,
      line: null,
      weighted: weightingOf(pairs),
      chiSquare: Number.NaN,
      degreesOfFreedom: pairs.length - 2,
      widenedBy: 1,
      coverage: 2,
      curvature: null,
      residuals: [],
      refusals,
      uncertainties: [],
      digits: null,
      next,
      cautions: cautionsFor(options, next),
    };
  }
  const fit = fitPairs(pairs);
  const use = options.use ?? span;
  const bow = extraTerm(pairs, fit, bowOf(pairs));
  const { line, weighted, chiSquare, degreesOfFreedom, widenedBy } = fit;
  const next = nextPoint(pairs, fit, { use, reach, show });
  return {
    ...common,
    line,
    weighted,
    chiSquare,
    degreesOfFreedom,
    widenedBy,
    coverage: coverageOf(fit),
    curvature: bow && { coefficient: bow.coefficient, std: bow.std },
    residuals: pairs.map(({ raw: at, reference }, i) => ({
      raw: at,
      reference,
      residual: fit.residuals[i]!,
      std: fit.stds[i]!,
    })),
    refusals: doubtsOf(pairs, fit, { show, options }),
    uncertainties: atEndsOfUse(fit, use),
    digits: digitsOf(pairs, fit, show),
    next,
    cautions: cautionsFor(options, next),
  };
}

function spanOf(pairs: readonly CalibrationPair[]): { from: number; to: number } | null {
  const known = pairs.map(({ reference }) => reference).filter(Number.isFinite);
  return known.length === 0 ? null : { from: Math.min(...known), to: Math.max(...known) };
}

/** By the best of the points: no value of the channel is known better than there. */
function digitsOf(pairs: readonly CalibrationPair[], fit: PairFit, show: Show) {
  const best = Math.min(...pairs.map(({ raw }) => stdAt(fit.line, raw))) / show.unit.scale;
  if (!(best > 0)) return null;
  const { unit } = show.unit;
  const decimals = decimalsFor((coverageOf(fit) / 2) * best);
  const step = Number((10 ** -decimals).toPrecision(1));
  const spread = show.spread(coverageOf(fit) * best * show.unit.scale);
  const says = `at best ±${spread}: show steps of ${step} ${unit}`;
  return { unit, decimals, says };
}

/**
 * What stands beside taking the points. Below cut-in the pump starts by itself: a point there is
 * read with its breaker off, like the zero.
 */
function cautionsFor(
  { channel, use }: CalibrateOptions,
  next: NextPoint | null,
): readonly CautionId[] {
  if (channel === 'current') return ACT_CAUTIONS['read-clamp-meter'];
  const comparing = ACT_CAUTIONS['compare-pressure-gauge'];
  const isBelow = next !== null && (next.value <= 0 || (use !== null && next.value < use.from));
  return isBelow ? [...comparing, ...ACT_CAUTIONS['check-pressure-zero']] : comparing;
}
