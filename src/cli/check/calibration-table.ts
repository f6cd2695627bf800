import type { CalibrationPair, CalibrationReport } from '../../instruments/index.ts';
import { withDigits } from '../../units/digits.ts';
import { displayUnit } from '../../units/format.ts';

/**
 * `[[calibration]]` of a well file that gives this line again when logs are read. It knows no doubt
 * of raw values, so theirs goes into that of the references by the slope. None without a line.
 */
export function calibrationTable(
  pairs: readonly CalibrationPair[],
  { channel, raw, units, line }: CalibrationReport,
): string[] {
  if (line === null) return [];
  const { unit, scale } = displayUnit(channel, units);
  const times = pairs.flatMap(({ atS }) => atS ?? []);
  const from =
    times.length === 0
      ? '# from = 2026-04-01T15:00:00Z (not known: the pairs have no column time)'
      : `from = ${utc(Math.min(...times))}`;
  const points = pairs.map((pair) => {
    const std = Math.hypot(pair.referenceStd || 0, line.slope * (pair.rawStd || 0)) / scale;
    const cells = [
      `${Number(pair.raw.toPrecision(7))} ${raw}`,
      `${Number((pair.reference / scale).toPrecision(7))} ${unit}`,
      ...(std > 0 ? [`${withDigits(std, 3)} ${unit}`] : []),
    ];
    return `  [${cells.map((cell) => JSON.stringify(cell)).join(', ')}],`;
  });
  return [
    '[[calibration]]',
    `channel = "${channel}"`,
    from,
    `raw = "${raw}"`,
    'points = [',
    ...points,
    ']',
  ];
}

/** Whole seconds, earlier rather than later: a calibration acts from then on. */
const utc = (timeS: number) =>
  new Date(Math.floor(timeS) * 1000).toISOString().replace('.000Z', 'Z');
