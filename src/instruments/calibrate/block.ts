import { withDigits } from '../../units/digits.ts';
import { displayUnit } from '../../units/format.ts';
import type { CalibrationPair, CalibrationReport } from './types.ts';

/**
 * What `[[calibration]]` of a well file holds besides its time, to give this line again when
 * readings come. It knows no doubt of raw values, so theirs goes into that of the references by
 * the slope. Null without a line.
 */
export function calibrationValues(
  pairs: readonly CalibrationPair[],
  { channel, raw, units, line }: CalibrationReport,
): { channel: string; raw: string; points: string[][] } | null {
  if (line === null) return null;
  const { unit, scale } = displayUnit(channel, units);
  const points = pairs.map((pair) => {
    const std = Math.hypot(pair.referenceStd || 0, line.slope * (pair.rawStd || 0)) / scale;
    return [
      `${Number(pair.raw.toPrecision(7))} ${raw}`,
      `${Number((pair.reference / scale).toPrecision(7))} ${unit}`,
      ...(std > 0 ? [`${withDigits(std, 3)} ${unit}`] : []),
    ];
  });
  return { channel, raw, points };
}
