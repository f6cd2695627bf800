import { stdAt, valueAt } from '../../base/line.ts';
import type { CalibrationReport } from '../../instruments/index.ts';
import { CAUTIONS } from '../../model/cautions.ts';
import { figureColumn, hanging, paragraph, section, table } from '../../report/layout.ts';
import { displayUnit } from '../../units/format.ts';
import type { OverTime } from './over-time.ts';

/** A calibration for people: the line, how far it can be trusted, what to measure next. */
export function calibrationText(report: CalibrationReport, time: OverTime): string[] {
  const { channel, refusals, line, digits, next } = report;
  const about = { indent: 2, hang: 13 };
  const { scale, unit } = displayUnit(channel, report.units);
  const shown = (si: number, places = 4) => Number((si / scale).toPrecision(places)).toString();
  const lines = [
    ...refusals.flatMap(({ says }) => hanging('But', says, about)),
    ...(line === null ? paragraph('No line is drawn through these points.') : []),
    ...(line === null ? [] : hanging('Line', lineWords(report, shown, unit), about)),
    ...report.uncertainties.flatMap(({ value, std }) =>
      hanging(
        'At',
        `${shown(value)} ${unit}: 95 % uncertainty ${shown(2 * std, 2)} ${unit}`,
        about,
      ),
    ),
    ...(digits === null ? [] : hanging('Digits', digits.says, about)),
    ...(next === null ? [] : hanging('Next', next.says, about)),
    ...overTimeLines(time, about),
    '',
    ...residualTable(report, shown, unit),
    '',
    ...report.cautions.flatMap((id) => hanging('Caution', CAUTIONS[id], about)),
  ];
  return section(`Calibration of ${channel}`, lines);
}

function overTimeLines(time: OverTime, about: { indent: number; hang: number }): string[] {
  const { zero, drift, again, lacks } = time;
  return [
    ...(zero === null ? [] : hanging('Zero', zero.says, about)),
    ...(drift === null ? [] : hanging('Drift', drift.says, about)),
    ...(again === null ? [] : hanging('Again on', `${again.on}: ${again.says}`, about)),
    ...lacks.flatMap((text) => hanging('Not known', text, about)),
  ];
}

type Shown = (si: number, places?: number) => string;

/** The line by its value at no signal and its slope, each with its 95 % uncertainty. */
function lineWords({ line, raw }: CalibrationReport, shown: Shown, unit: string): string {
  if (line === null) return '';
  const spread = (std: number) => (Number.isFinite(std) ? ` ± ${shown(2 * std, 2)}` : '');
  const atZero = `${shown(valueAt(line, 0))}${spread(stdAt(line, 0))} ${unit} at 0 ${raw}`;
  const slope = `${shown(line.slope, 5)}${spread(Math.sqrt(line.slopeVar))} ${unit}/${raw}`;
  const covariance = line.cov - line.aboutX * line.slopeVar;
  const correlation = covariance / (stdAt(line, 0) * Math.sqrt(line.slopeVar));
  const together = Number.isFinite(correlation) ? `; correlation ${correlation.toFixed(3)}` : '';
  return `${atZero} and ${slope}${together}`;
}

function residualTable(
  { residuals, raw }: CalibrationReport,
  shown: Shown,
  unit: string,
): string[] {
  if (residuals.length === 0) return [];
  return table([
    figureColumn(
      'Raw',
      raw,
      residuals.map((point) => String(Number(point.raw.toPrecision(6)))),
    ),
    figureColumn(
      'Reference',
      unit,
      residuals.map(({ reference }) => shown(reference)),
    ),
    figureColumn(
      'Off the line',
      unit,
      residuals.map(({ residual }) => shown(residual, 2)),
    ),
    figureColumn(
      '95 %',
      unit,
      residuals.map(({ std }) => (std > 0 ? shown(2 * std, 2) : '-')),
    ),
  ]);
}
