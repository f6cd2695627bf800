import { stdAt, valueAt } from '../../base/line.ts';
import { beyondShare, MOST_BEYOND } from '../../instruments/calibrate/reach.ts';
import type { CalibrationReport, OverTime } from '../../instruments/index.ts';
import { CAUTIONS } from '../../model/cautions.ts';
import { figureColumn, hanging, paragraph, section, table } from '../../report/layout.ts';
import { atSpread, withDigits } from '../../units/digits.ts';
import { displayUnit } from '../../units/format.ts';
import type { Calibrated } from './calibration.ts';

const ABOUT = { indent: 2, hang: 13 };

/** A calibration for people: the line, how far it can be trusted, what to measure next. */
export function calibrationText(report: Calibrated): string[] {
  const { overTime: time, asked, table: record } = report;
  const { channel, refusals, line, digits, next } = report;
  const shown = displayUnit(channel, report.units);
  const cautions = new Set([...report.cautions, ...(time.zero?.cautions ?? [])]);
  const lines = [
    ...refusals.flatMap(({ says }) => hanging('But', says, ABOUT)),
    ...(line === null ? paragraph('No line is drawn through these points.') : []),
    ...(line === null ? [] : hanging('Line', lineWords(report, shown), ABOUT)),
    ...[...report.uncertainties, ...asked].flatMap((at) => atLines(report, at, shown)),
    ...(digits === null ? [] : hanging('Digits', digits.says, ABOUT)),
    ...(next === null ? [] : hanging('Next', next.says, ABOUT)),
    ...overTimeLines(time),
    '',
    ...residualTable(report, shown),
    ...[...cautions].flatMap((id) => hanging('Caution', CAUTIONS[id], ABOUT)),
    ...(record.length === 0 ? [] : ['', ...paragraph(FOR_THE_FILE), '', ...record]),
  ];
  return section(`Calibration of ${channel}`, lines);
}

const FOR_THE_FILE =
  'For the well file, with the doubt of the raw values in that of the references; from is when ' +
  'this sensor began to read so:';

interface Shown {
  unit: string;
  scale: number;
}

function atLines(
  { coverage, span }: CalibrationReport,
  { value, std }: { value: number; std: number },
  { unit, scale }: Shown,
): string[] {
  const spread = (coverage * std) / scale;
  if (!Number.isFinite(spread)) {
    const at = `${withDigits(value / scale, 3)} ${unit}`;
    return hanging('At', `${at}: uncertainty not known, for want of points`, ABOUT);
  }
  const isFar = span !== null && beyondShare({ from: value, to: value }, span) > MOST_BEYOND;
  const far = isFar ? ', if the line holds so far from the points' : '';
  const at = `${atSpread(value / scale, spread)} ${unit}`;
  return hanging('At', `${at}: 95 % uncertainty ${withDigits(spread, 2)} ${unit}${far}`, ABOUT);
}

function overTimeLines({ zero, drift, again, lacks }: OverTime): string[] {
  return [
    ...(zero === null ? [] : hanging('Zero', zero.says, ABOUT)),
    ...(drift === null ? [] : hanging('Drift', drift.says, ABOUT)),
    ...(again === null ? [] : hanging('Again on', `${again.on}, ${again.says}`, ABOUT)),
    ...lacks.flatMap((text) => hanging('Not known', text, ABOUT)),
  ];
}

/** The line by its value at no signal and its slope, each with its 95 % uncertainty. */
function lineWords({ line, raw, coverage }: CalibrationReport, { unit, scale }: Shown): string {
  if (line === null) return '';
  const both = (si: number, std: number) => {
    const [value, spread] = [si / scale, (coverage * std) / scale];
    const open = Number.isFinite(spread) && spread > 0 ? ` ± ${withDigits(spread, 2)}` : '';
    return `${atSpread(value, spread)}${open} ${unit}`;
  };
  const zeroStd = stdAt(line, 0);
  const slopeStd = Math.sqrt(line.slopeVar);
  const correlation = (line.cov - line.aboutX * line.slopeVar) / (zeroStd * slopeStd);
  const together = Number.isFinite(correlation) ? `; correlation ${correlation.toFixed(3)}` : '';
  const atZero = `${both(valueAt(line, 0), zeroStd)} at 0 ${raw}`;
  return `${atZero} and ${both(line.slope, slopeStd)}/${raw}${together}`;
}

function residualTable({ residuals, raw }: CalibrationReport, { unit, scale }: Shown): string[] {
  if (residuals.length === 0) return [];
  const spread = (std: number) => (std > 0 ? (2 * std) / scale : Number.NaN);
  // Without an uncertainty a residual counts by the greatest: one of rounding shows as none.
  const most = Math.max(...residuals.map(({ reference }) => Math.abs(reference)));
  const least = 1e-6 * (most / scale);
  const rows = [
    figureColumn(
      'Raw',
      raw,
      residuals.map((point) => String(Number(point.raw.toPrecision(6)))),
    ),
    figureColumn(
      'Reference',
      unit,
      residuals.map(({ reference }) => String(Number((reference / scale).toPrecision(4)))),
    ),
    figureColumn(
      'Off the line',
      unit,
      residuals.map(({ residual, std }) => atSpread(residual / scale, spread(std) || least)),
    ),
    figureColumn(
      '95 %',
      unit,
      residuals.map(({ std }) => (std > 0 ? withDigits(spread(std), 2) : '-')),
    ),
  ];
  return [...table(rows), ''];
}
