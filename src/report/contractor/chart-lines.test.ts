import fc from 'fast-check';
import { expect, it } from 'vitest';
import { chartMarks, type Mark } from './chart-lines.ts';
import type { Chart } from './sheet.ts';

const [WIDTH, HEIGHT] = [250, 100];
const value = fc.double({ min: -1e4, max: 1e4, noNaN: true });
const chart = (points: { x: number; y: number }[], fromZero: boolean): Chart => ({
  title: 'Pressure',
  x: { least: 0, greatest: 100, unit: 's' },
  y: { unit: 'psi', fromZero },
  bands: points.map(({ x, y }) => ({ x, low: y - 1, high: y + 1 })),
  lines: [{ style: 'now', points }],
  dots: points,
  uprights: [50],
});
const placesOf = (mark: Mark): [number, number][] =>
  mark.kind === 'line' || mark.kind === 'area' ? mark.points : [[mark.x, mark.y]];

it('all of a chart lies on its paper', () => {
  const point = fc.record({ x: fc.double({ min: 0, max: 100, noNaN: true }), y: value });
  fc.assert(
    fc.property(fc.array(point, { minLength: 2, maxLength: 20 }), fc.boolean(), (all, zero) => {
      const points = all.toSorted((a, b) => a.x - b.x);
      for (const mark of chartMarks(chart(points, zero), WIDTH, HEIGHT))
        for (const [x, y] of placesOf(mark)) {
          expect(x).toBeGreaterThanOrEqual(0);
          expect(x).toBeLessThanOrEqual(WIDTH);
          expect(y).toBeGreaterThanOrEqual(0);
          expect(y).toBeLessThanOrEqual(HEIGHT + 0.01);
        }
    }),
  );
});

it('its steps stand where they say', () => {
  const marks = chartMarks(
    chart(
      [
        { x: 0, y: 31 },
        { x: 100, y: 49 },
      ],
      false,
    ),
    WIDTH,
    HEIGHT,
  );
  const steps = marks.filter((mark) => mark.kind === 'text' && mark.anchor === 'end').slice(0, -1);
  expect(steps.map((mark) => mark.kind === 'text' && mark.says)).toEqual([
    '30',
    '35',
    '40',
    '45',
    '50',
  ]);
  const heights = steps.map((mark) => (mark.kind === 'text' ? mark.y : Number.NaN));
  const between = heights.slice(1).map((y, i) => heights[i]! - y);
  for (const one of between) expect(one).toBeCloseTo(between[0]!, 9);
  const dots = marks.filter((mark) => mark.kind === 'dot');
  // 31 lies a fifth of a step above 30; words stand 2.5 points below their line.
  expect(heights[0]! - 2.5 - dots[0]!.y).toBeCloseTo(between[0]! / 5, 6);
});

it('a line that is broken is drawn in pieces', () => {
  const points = [{ x: 0, y: 1 }, { x: 1, y: 2 }, null, { x: 5, y: 1 }, { x: 6, y: 3 }, null];
  const broken: Chart = { ...chart([], false), lines: [{ style: 'past', points }] };
  const lines = chartMarks(broken, WIDTH, HEIGHT).filter(
    (mark) => mark.kind === 'line' && mark.style === 'past',
  );
  expect(lines).toHaveLength(2);
});
