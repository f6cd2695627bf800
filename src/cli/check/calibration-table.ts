import {
  type CalibrationPair,
  type CalibrationReport,
  calibrationValues,
} from '../../instruments/index.ts';

/** `[[calibration]]` of a well file as text, line by line. None without a line. */
export function calibrationTable(
  pairs: readonly CalibrationPair[],
  report: CalibrationReport,
): string[] {
  const values = calibrationValues(pairs, report);
  if (values === null) return [];
  const times = pairs.flatMap(({ atS }) => atS ?? []);
  const from =
    times.length === 0
      ? '# from = 2026-04-01T15:00:00Z (not known: the pairs have no column time)'
      : `from = ${utc(Math.min(...times))}`;
  const points = values.points.map(
    (cells) => `  [${cells.map((cell) => JSON.stringify(cell)).join(', ')}],`,
  );
  return [
    '[[calibration]]',
    `channel = "${values.channel}"`,
    from,
    `raw = "${values.raw}"`,
    'points = [',
    ...points,
    ']',
  ];
}

/** Whole seconds, earlier rather than later: a calibration acts from then on. */
const utc = (timeS: number) =>
  new Date(Math.floor(timeS) * 1000).toISOString().replace('.000Z', 'Z');
