import type { CalibrationRecord, Well } from '../../model/well.ts';
import { PSI_PA } from '../../units/table.ts';
import { contextOf } from '../chain/context.ts';
import { calibrate } from './calibrate.ts';
import { type Checked, checkAgain, compareCalibrations, zeroCheck } from './over-time.ts';
import type { CalibrationPair, CalibrationReport } from './types.ts';

/** What a new calibration says of the one before, and when to make the next. */
export interface OverTime {
  /** Readings at zero against the line that was in force. */
  zero: Checked | null;
  drift: Checked | null;
  again: { on: string; says: string } | null;
  /** What more would tell, where something is not known. */
  lacks: string[];
}

/** Error that drift may use up before the next check (common practice). */
const ALLOWED_PA = PSI_PA;
const ALLOWED_SHARE = 0.02;

export function overTime(
  pairs: readonly CalibrationPair[],
  report: CalibrationReport,
  well: Well,
): OverTime {
  const { channel, raw, units, line, span } = report;
  const last = lastCalibration(well, channel, raw);
  const lastLine = last && calibrate(pairsOfRecord(last), { channel, raw, units, use: null }).line;
  const atS = Math.max(...pairs.map((pair) => pair.atS ?? Number.NEGATIVE_INFINITY));
  const isDated = Number.isFinite(atS);
  const zeros = pairs.filter(({ reference }) => reference === 0).map((pair) => pair.raw);
  const where = { channel, raw, units };
  const values = report.uncertainties.map(({ value }) => value);
  const drift =
    last && lastLine && line && isDated
      ? compareCalibrations(
          { line: lastLine, atS: last.fromS },
          { line, atS },
          { ...where, values },
        )
      : null;
  const allowed = channel === 'pressure' ? ALLOWED_PA : ALLOWED_SHARE * (span?.to ?? Number.NaN);
  const next = line && isDated ? checkAgain({ line, atS }, drift, allowed) : null;
  return {
    zero: lastLine ? zeroCheck(lastLine, zeros, where) : null,
    drift,
    again: next && { on: new Date(next.atS * 1000).toISOString().slice(0, 10), says: next.says },
    lacks: [
      ...(last ? [] : [`drift: the well file has no calibration of ${channel} in ${raw} in force`]),
      ...(isDated ? [] : ['date to check again: the pairs have no column time']),
      ...(lastLine && zeros.length === 0 ? ['zero: no pair has the reference 0'] : []),
    ],
  };
}

/** The last calibration of this sensor; one whose sensor was replaced says nothing of this one. */
export const lastCalibration = (
  well: Well,
  channel: CalibrationRecord['channel'],
  raw: CalibrationRecord['raw'],
): CalibrationRecord | undefined =>
  well.calibrations
    .filter((one) => one.channel === channel && one.raw === raw && one.untilS === null)
    .sort((a, b) => a.fromS - b.fromS)
    .at(-1);

export const pairsOfRecord = ({ points }: CalibrationRecord): CalibrationPair[] =>
  points.map((point) => ({ ...point, rawStd: Number.NaN, atS: null }));

/** Where readings of a channel will lie, as far as the well file tells. */
export function useOf(
  well: Well,
  channel: CalibrationRecord['channel'],
): { from: number; to: number } | null {
  const { cutInPaGauge, cutOutPaGauge, runA } = contextOf(well);
  if (channel === 'current') return runA === null ? null : { from: 0, to: runA };
  if (cutInPaGauge === null || cutOutPaGauge === null) return null;
  return { from: cutInPaGauge, to: cutOutPaGauge };
}
