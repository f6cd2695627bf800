import { stdAt } from '../../base/line.ts';
import { ACT_CAUTIONS, type CautionId } from '../../model/cautions.ts';
import { bowOf, extraTerm, fitPairs, type PairFit, weightingOf } from './fit.ts';
import { atEndsOfUse, firstPoint, nextPoint, reachOf } from './next-point.ts';
import { doubtsOf, reasonsForNoLine } from './refusals.ts';
import { decimalsFor, type Show, showFor } from './show.ts';
import type { CalibrateOptions, CalibrationPair, CalibrationReport } from './types.ts';

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
  const common = { channel, raw, units, span, cautions: cautionsFor(channel) };
  if (refusals.length > 0 || span === null) {
    return {
      ...common,
      line: null,
      weighted: weightingOf(pairs),
      chiSquare: Number.NaN,
      degreesOfFreedom: pairs.length - 2,
      widenedBy: 1,
      curvature: null,
      residuals: [],
      refusals,
      uncertainties: [],
      digits: null,
      next: firstPoint(pairs, reach, show),
    };
  }
  const fit = fitPairs(pairs);
  const use = options.use ?? span;
  const bow = extraTerm(pairs, fit, bowOf(pairs));
  const { line, weighted, chiSquare, degreesOfFreedom, widenedBy } = fit;
  return {
    ...common,
    line,
    weighted,
    chiSquare,
    degreesOfFreedom,
    widenedBy,
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
    next: nextPoint(pairs, fit, { use, reach, show }),
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
  const decimals = decimalsFor(best);
  const step = Number((10 ** -decimals).toPrecision(1));
  const says = `at best ±${show.value(2 * best * show.unit.scale)}: show steps of ${step} ${unit}`;
  return { unit, decimals, says };
}

/** What stands beside taking the points. */
const cautionsFor = (channel: 'pressure' | 'current'): readonly CautionId[] =>
  ACT_CAUTIONS[channel === 'pressure' ? 'compare-pressure-gauge' : 'read-clamp-meter'];
