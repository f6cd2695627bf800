import { displayUnit } from '../../units/format.ts';
import type { CalibrationReport } from '../calibrate/types.ts';
import { drawing, element, line, text } from './svg.ts';

/** As wide as a telephone shows without shrinking it. */
const SIZE = { width: 376, height: 280 };
const AREA = { left: 56, right: 366, top: 44, bottom: 230 };

/** From values to places in the area. */
interface Scale {
  x: (value: number) => number;
  y: (value: number) => number;
}

/**
 * Residuals of a calibration over the reference value: each point with two standard
 * uncertainties up and down, and the line as zero. A bow or a slope shows by eye.
 */
export function residualFigureSvg(report: CalibrationReport): string {
  const title = `Residuals of the ${report.channel} calibration`;
  if (report.residuals.length === 0 || report.line === null) {
    const says = report.refusals.map((refusal) => refusal.says).join('; ') || 'no points';
    const parts = [text(`No line: ${says}`, { x: 16, y: 40 })];
    return drawing({ ...SIZE, title, description: says, parts });
  }
  const shown = displayUnit(report.channel, report.units);
  const points = report.residuals.map(({ reference, residual, std }) => ({
    value: reference / shown.scale,
    residual: residual / shown.scale,
    spread: Number.isFinite(std) ? (2 * std) / shown.scale : 0,
  }));
  const across = ends(points.map(({ value }) => value));
  // What is left of points on the line is rounding: it is not blown up to the whole height.
  const least = 1e-6 * Math.max(across[1] - across[0], Math.abs(across[1]));
  const reach = Math.max(...points.map((p) => Math.abs(p.residual) + p.spread), least);
  const scale: Scale = {
    x: (value) => along(value, across, [AREA.left + 15, AREA.right - 15]),
    y: (value) => along(value, [-reach, reach], [AREA.bottom - 8, AREA.top + 8]),
  };
  const worst = points.reduce((a, b) => (Math.abs(b.residual) > Math.abs(a.residual) ? b : a));
  const description =
    `${points.length} points from ${digits(across[0])} to ${digits(across[1])} ${shown.unit}; ` +
    `the farthest from the line is ${digits(worst.residual)} ${shown.unit} ` +
    `at ${digits(worst.value)}`;
  const parts = [
    ...axes(across, reach, { scale, unit: shown.unit }),
    ...points.flatMap(mark(scale)),
  ];
  return drawing({ ...SIZE, title, description, parts });
}

const mark =
  (scale: Scale) =>
  ({ value, residual, spread }: { value: number; residual: number; spread: number }) => {
    const x = scale.x(value);
    const bar = line({ x, y: scale.y(residual - spread) }, { x, y: scale.y(residual + spread) });
    return [
      ...(spread > 0 ? [bar] : []),
      element('circle', { cx: x, cy: scale.y(residual), r: 3.5, fill: 'currentColor' }),
    ];
  };

function axes(
  across: readonly [number, number],
  reach: number,
  { scale, unit }: { scale: Scale; unit: string },
): string[] {
  const { left, right, top, bottom } = AREA;
  const end = { 'text-anchor': 'end' };
  const middle = { 'text-anchor': 'middle' };
  const below = ticks(across).map((value) =>
    text(digits(value), { x: scale.x(value), y: bottom + 18 }, middle),
  );
  const beside = ticks([-reach, reach]).map((value) =>
    text(digits(value), { x: left - 8, y: scale.y(value) + 4 }, end),
  );
  return [
    text(`reference minus line, ${unit}`, { x: 10, y: 16 }),
    text('bars: two standard uncertainties', { x: 10, y: 32 }),
    line({ x: left, y: scale.y(0) }, { x: right, y: scale.y(0) }, { 'stroke-dasharray': '4 3' }),
    line({ x: left, y: top }, { x: left, y: bottom }),
    line({ x: left, y: bottom }, { x: right, y: bottom }),
    ...below,
    ...beside,
    text(`reference, ${unit}`, { x: (left + right) / 2, y: bottom + 38 }, middle),
  ];
}

function ends(values: readonly number[]): [number, number] {
  const low = Math.min(...values);
  const high = Math.max(...values);
  return low < high ? [low, high] : [low - 1, high + 1];
}

const along = (
  value: number,
  from: readonly [number, number],
  to: readonly [number, number],
): number => to[0] + ((value - from[0]) / (from[1] - from[0])) * (to[1] - to[0]);

/** Round values from one end to the other, five steps or fewer. */
function ticks([from, to]: readonly [number, number]): number[] {
  const step = niceStep((to - from) / 5);
  const first = Math.ceil(from / step - 1e-9);
  const last = Math.floor(to / step + 1e-9);
  return Array.from({ length: last - first + 1 }, (_, i) => (first + i) * step);
}

/** 1, 2 or 5 times a power of ten, not below `least`. */
function niceStep(least: number): number {
  const power = 10 ** Math.floor(Math.log10(least));
  return [1, 2, 5, 10].map((part) => part * power).find((step) => step >= least * (1 - 1e-9))!;
}

const digits = (value: number): string => String(Number(value.toPrecision(3)));
