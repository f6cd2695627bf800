import { type FittedLine, stdAt, valueAt, xAt } from '../../base/line.ts';
import { studentFactor, TWO_SIGMA } from '../../base/student-t.ts';
import { ACT_CAUTIONS, type CautionId } from '../../model/cautions.ts';
import { showFor } from './show.ts';
import type { CalibrateOptions } from './types.ts';

type Where = Pick<CalibrateOptions, 'channel' | 'raw' | 'units'>;
const shown = (where: Where) => showFor({ ...where, use: null });

/** A value that should not have moved, and whether it has. */
export interface Checked {
  /** What is read where zero, or no change, is true: Pa or A. */
  value: number;
  std: number;
  /** Two standard uncertainties, more with few readings. */
  limit: number;
  moved: boolean;
  says: string;
  cautions: readonly CautionId[];
}

/**
 * Zero check: readings with no pressure (tank drained, power off) or no current against the line
 * in force. `raws`: V or counts. Null without a reading.
 */
export function zeroCheck(line: FittedLine, raws: readonly number[], where: Where): Checked | null {
  const n = raws.length;
  if (n === 0 || !raws.every(Number.isFinite)) return null;
  const mean = raws.reduce((sum, raw) => sum + raw, 0) / n;
  const square = raws.reduce((sum, raw) => sum + (raw - mean) ** 2, 0);
  const meanStd = n > 1 ? Math.sqrt(square / (n - 1) / n) : 0;
  const value = valueAt(line, mean);
  const ownStd = Math.abs(line.slope) * meanStd;
  const std = Math.hypot(stdAt(line, mean), ownStd);
  // Freedom by Welch and Satterthwaite: the line's is taken as known.
  const freedom = ownStd > 0 ? (n - 1) * (std / ownStd) ** 4 : Number.POSITIVE_INFINITY;
  const limit = studentFactor(TWO_SIGMA, freedom) * std;
  const show = shown(where);
  const act = where.channel === 'pressure' ? 'check-pressure-zero' : 'read-clamp-meter';
  const rest = { value, std, limit, cautions: ACT_CAUTIONS[act] };
  const moved = Math.abs(value) > limit;
  const says = moved
    ? `the zero has moved: it reads ${show.value(value)} at zero, more than ±${show.spread(limit)}`
    : `the zero holds: it reads ${show.value(value)}, within ±${show.spread(limit)}`;
  return { ...rest, moved, says };
}

/** A calibration with the time from which it holds. */
export interface DatedLine {
  line: FittedLine;
  atS: number;
}

const YEAR_S = 365.25 * 86_400;

export interface LineDrift extends Checked {
  /** Value (Pa gauge or A) at which the two lines differ most, of those asked for. */
  at: number;
  perYear: number;
}

/**
 * Drift against the last calibration: what the new line says of the raw value at which the old
 * one said `values` [Pa gauge or A]. Null where no value is asked for, or the two are of one time.
 */
export function compareCalibrations(
  last: DatedLine,
  now: DatedLine,
  { values, ...where }: Where & { values: readonly number[] },
): LineDrift | null {
  const years = (now.atS - last.atS) / YEAR_S;
  if (values.length === 0 || !(years > 0)) return null;
  const all = values.map((at) => {
    const raw = xAt(last.line, at);
    const std = Math.hypot(stdAt(last.line, raw), stdAt(now.line, raw));
    return { at, value: valueAt(now.line, raw) - at, std };
  });
  const most = all.reduce((a, b) =>
    Math.abs(b.value) / b.std > Math.abs(a.value) / a.std ? b : a,
  );
  const limit = 2 * most.std;
  const moved = Math.abs(most.value) > limit;
  const show = shown(where);
  const perYear = most.value / years;
  const says = moved
    ? `since the last calibration it has drifted by ${show.value(most.value)} at ` +
      `${show.value(most.at)} (more than ±${show.spread(limit)}), ${show.value(perYear)} a year`
    : `no drift since the last calibration can be told: ${show.value(most.value)} at ` +
      `${show.value(most.at)}, within ±${show.spread(limit)}`;
  return { ...most, perYear, limit, moved, says, cautions: [] };
}

/** Usual time between checks, and the longest and shortest ever advised: common practice. */
const USUAL_S = YEAR_S;
const LONGEST_S = 2 * YEAR_S;
const SHORTEST_S = 30 * 86_400;

/**
 * Date to check again: when drift as seen, at the fast end of its uncertainty, may have used up
 * the error allowed. `allowed` [Pa or A] on top of the line's own uncertainty. Without a last
 * calibration a year. Returns Unix s.
 */
export function checkAgain(
  now: DatedLine,
  drift: LineDrift | null,
  allowed: number,
): { atS: number; says: string } {
  if (drift === null) {
    return { atS: now.atS + USUAL_S, says: 'a year on: how fast it drifts is not known yet' };
  }
  const years = Math.abs(drift.value / drift.perYear);
  const fastest = (Math.abs(drift.value) + drift.limit) / (years * YEAR_S);
  const waitS = Math.min(LONGEST_S, Math.max(SHORTEST_S, allowed / fastest));
  const months = Math.round((12 * waitS) / YEAR_S);
  const says = `${months} ${months === 1 ? 'month' : 'months'} on, by the drift since the last one`;
  return { atS: now.atS + waitS, says };
}
