import type { Chart } from './sheet.ts';

/** A chart as strokes and words on paper, points from its upper left corner. */
export type Mark =
  | { kind: 'line'; style: MarkStyle; points: [x: number, y: number][] }
  | { kind: 'area'; points: [x: number, y: number][] }
  | { kind: 'dot'; x: number; y: number }
  | { kind: 'text'; x: number; y: number; anchor: 'start' | 'middle' | 'end'; says: string };
export type MarkStyle = 'now' | 'past' | 'rule' | 'frame' | 'upright';

export const TEXT_PT = 7.5;
const LEFT = 30;
const RIGHT = 6;
const TOP = 4;
const BOTTOM = 14;

/** Strokes of a chart of this size. */
export function chartMarks(chart: Chart, widthPt: number, heightPt: number): Mark[] {
  const y = scaleY(chart);
  const { least, greatest } = chart.x;
  const [x0, x1] = [LEFT, widthPt - RIGHT];
  const [y0, y1] = [heightPt - BOTTOM, TOP];
  const toX = (value: number) => x0 + ((value - least) / (greatest - least || 1)) * (x1 - x0);
  const toY = (value: number) => y0 + ((value - y.least) / (y.greatest - y.least)) * (y1 - y0);
  const at = ({ x, y: value }: { x: number; y: number }): [number, number] => [toX(x), toY(value)];
  const line = (style: MarkStyle, points: [number, number][]): Mark => ({
    kind: 'line',
    style,
    points,
  });
  return [
    ...y.steps.flatMap((step): Mark[] => [
      line('rule', [
        [x0, toY(step)],
        [x1, toY(step)],
      ]),
      { kind: 'text', x: x0 - 3, y: toY(step) + 2.5, anchor: 'end', says: stepText(step, y.step) },
    ]),
    ...xMarks(chart).map(
      ({ at: value, text, anchor }): Mark => ({
        kind: 'text',
        ...{ x: toX(value), y: heightPt - 3, anchor, says: text },
      }),
    ),
    ...area(chart, toX, toY),
    ...chart.uprights.map((value) =>
      line('upright', [
        [toX(value), y0],
        [toX(value), y1],
      ]),
    ),
    ...chart.lines.flatMap(({ style, points }) =>
      unbroken(points).map((piece) => line(style, piece.map(at))),
    ),
    ...chart.dots.map((dot): Mark => ({ kind: 'dot', x: toX(dot.x), y: toY(dot.y) })),
    line('frame', [
      [x0, y1],
      [x0, y0],
      [x1, y0],
    ]),
  ];
}

function area(
  { bands }: Chart,
  toX: (value: number) => number,
  toY: (value: number) => number,
): Mark[] {
  if (bands.length < 2) return [];
  const over = bands.map(({ x, high }): [number, number] => [toX(x), toY(high)]);
  const under = bands.toReversed().map(({ x, low }): [number, number] => [toX(x), toY(low)]);
  return [{ kind: 'area', points: [...over, ...under] }];
}

/** Pieces of a line between its breaks. */
function unbroken(points: Chart['lines'][number]['points']): { x: number; y: number }[][] {
  const pieces: { x: number; y: number }[][] = [[]];
  for (const point of points) {
    if (point === null) pieces.push([]);
    else pieces.at(-1)!.push(point);
  }
  return pieces.filter((piece) => piece.length > 1);
}

/** A round scale that holds all that is drawn. */
function scaleY({ y, bands, lines, dots }: Chart) {
  const values = [
    ...bands.flatMap(({ low, high }) => [low, high]),
    ...lines.flatMap(({ points }) => points.flatMap((point) => point?.y ?? [])),
    ...dots.map((dot) => dot.y),
    ...(y.fromZero ? [0] : []),
  ];
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const range = high - low || Math.abs(high) || 1;
  const power = 10 ** Math.floor(Math.log10(range / 4));
  const step = power * ([1, 2, 5].find((one) => one * power >= range / 4) ?? 10);
  const least = Math.floor(low / step + 1e-9) * step;
  const count = Math.max(1, Math.ceil((high - least) / step - 1e-9));
  const steps = Array.from({ length: count + 1 }, (_, i) => least + i * step);
  return { least, greatest: least + count * step, step, steps };
}

function stepText(value: number, step: number): string {
  const places = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  return Math.abs(value) < step / 1e6 ? '0' : value.toFixed(places);
}

type XMark = { at: number; text: string; anchor: 'start' | 'middle' | 'end' };

/** Given ones, or the start and the end with the unit. */
function xMarks({ x: { marks, greatest, unit } }: Chart): XMark[] {
  if (marks !== undefined) return marks.map((mark) => ({ ...mark, anchor: 'middle' }));
  return [
    { at: 0, text: '0', anchor: 'middle' },
    { at: greatest, text: `${Math.round(greatest)} ${unit}`, anchor: 'end' },
  ];
}
