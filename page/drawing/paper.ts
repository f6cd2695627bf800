import type { Stretch } from '../data/levels.ts';
import type { Pen } from '../data/record.ts';
import type { PaperWindow } from './paper-window.ts';
import { drawSeen, type SeenMark } from './seen-marks.ts';
import type { TimeMark } from './time-marks.ts';

/** Colours of the paper, taken from the style sheet. */
export interface Inks {
  paper: string;
  rule: string;
  strongRule: string;
  ink: string;
  soft: string;
  pressure: string;
  current: string;
  hole: string;
}

export interface Lane {
  pen: Pen;
  name: string;
  least: number;
  greatest: number;
  /** Values at which the paper is ruled, with what is printed there. */
  rules: { value: number; text: string }[];
  stretches: readonly Stretch[];
  gaps: readonly [fromS: number, toS: number][];
}

export interface Sheet {
  width: number;
  height: number;
  window: PaperWindow;
  lanes: readonly Lane[];
  marks: readonly TimeMark[];
  /** Upright lines: services, findings. */
  notes: readonly { fromS: number; toS: number; text: string; kind: 'service' | 'finding' }[];
  /** Evidence, where it was seen. */
  seen: readonly SeenMark[];
  raw: boolean;
  gapText: string;
  cursorS: number | null;
}

const EDGE = 16;
const TIMES = 22;
const LANE_GAP = 10;
/** Share of the height that the first lane has. */
const FIRST_LANE = 0.66;

interface Box {
  top: number;
  bottom: number;
}

export const leftOf = (width: number): number => (width < 560 ? 34 : 44);

/** Draws what lies in a window as a field recorder would have: ruled paper, a pen a quantity. */
export function drawSheet(to: CanvasRenderingContext2D, sheet: Sheet, inks: Inks): void {
  const { width, height, window } = sheet;
  const left = leftOf(width);
  const right = width - 8;
  const xOf = (atS: number) =>
    left + ((atS - window.fromS) / (window.toS - window.fromS)) * (right - left);
  to.fillStyle = inks.paper;
  to.fillRect(0, 0, width, height);
  drawHoles(to, width, height, inks);
  const inner = height - 2 * EDGE - TIMES;
  const firstBottom = EDGE + FIRST_LANE * (inner - LANE_GAP);
  const boxes: Box[] = [
    { top: EDGE, bottom: firstBottom },
    { top: firstBottom + LANE_GAP, bottom: EDGE + inner },
  ];
  drawMarks(to, sheet, { xOf, left, right, bottom: EDGE + inner }, inks);
  const yIn = ({ least, greatest }: Lane, { top, bottom }: Box, value: number) =>
    bottom - ((value - least) / (greatest - least)) * (bottom - top);
  sheet.lanes.forEach((lane, i) => {
    const box = boxes[i]!;
    const yOf = (value: number) => yIn(lane, box, value);
    drawRules(to, lane, { ...box, left, right, yOf }, inks);
    to.save();
    to.beginPath();
    to.rect(left, box.top - 2, right - left, box.bottom - box.top + 4);
    to.clip();
    drawGaps(to, lane, { ...box, xOf, text: sheet.gapText }, inks);
    drawTrace(to, lane, { xOf, yOf, raw: sheet.raw }, inks[lane.pen]);
    to.restore();
    drawName(to, lane, { left, top: box.top }, inks);
  });
  drawNotes(to, sheet, { xOf, left, right, bottom: EDGE + inner }, inks);
  const seenAt = (pen: Pen, value: number): number | null => {
    const i = sheet.lanes.findIndex((lane) => lane.pen === pen);
    const lane = sheet.lanes[i];
    if (lane === undefined || value < lane.least || value > lane.greatest) return null;
    return yIn(lane, boxes[i]!, value);
  };
  const betweenY = firstBottom + LANE_GAP / 2;
  drawSeen(to, sheet.seen, { xOf, yOf: seenAt, left, right, betweenY }, inks);
}

const FONT = 'condensed 13px sans-serif';

/** The name of a lane, with no line through it. */
function drawName(
  to: CanvasRenderingContext2D,
  { name, pen }: Lane,
  { left, top }: { left: number; top: number },
  inks: Inks,
): void {
  to.font = FONT;
  to.textAlign = 'left';
  to.fillStyle = inks.paper;
  to.fillRect(left + 2, top + 1, to.measureText(name).width + 8, 15);
  to.fillStyle = inks[pen];
  to.fillText(name, left + 6, top + 12);
}

/** The holes by which the drum takes the paper along. */
function drawHoles(to: CanvasRenderingContext2D, width: number, height: number, inks: Inks): void {
  to.fillStyle = inks.hole;
  for (let x = 11; x < width; x += 22)
    for (const y of [7, height - 7]) {
      to.beginPath();
      to.arc(x, y, 2.6, 0, 2 * Math.PI);
      to.fill();
    }
}

interface Across {
  xOf(atS: number): number;
  left: number;
  right: number;
  bottom: number;
}

function drawMarks(to: CanvasRenderingContext2D, { marks }: Sheet, at: Across, inks: Inks): void {
  to.font = FONT;
  to.textAlign = 'center';
  let lastX = Number.NEGATIVE_INFINITY;
  for (const { atS, text, strong } of marks) {
    const x = Math.round(at.xOf(atS)) + 0.5;
    to.strokeStyle = strong ? inks.strongRule : inks.rule;
    to.lineWidth = strong ? 1.4 : 1;
    line(to, x, EDGE, x, at.bottom);
    const half = to.measureText(text).width / 2;
    if (x - half < lastX + 8 || x + half > at.right + 8 || x - half < 2) continue;
    to.fillStyle = strong ? inks.ink : inks.soft;
    to.fillText(text, x, at.bottom + 16);
    lastX = x + half;
  }
}

interface Ruled extends Box {
  left: number;
  right: number;
  yOf(value: number): number;
}

function drawRules(to: CanvasRenderingContext2D, lane: Lane, at: Ruled, inks: Inks): void {
  to.font = FONT;
  to.textAlign = 'right';
  for (const { value, text } of lane.rules) {
    const y = Math.round(at.yOf(value)) + 0.5;
    to.strokeStyle = inks.rule;
    to.lineWidth = 1;
    line(to, at.left, y, at.right, y);
    to.fillStyle = inks.soft;
    to.fillText(text, at.left - 5, y + 4);
  }
  to.strokeStyle = inks.strongRule;
  to.strokeRect(at.left + 0.5, at.top + 0.5, at.right - at.left, at.bottom - at.top);
}

interface GapPlace extends Box {
  xOf(atS: number): number;
  text: string;
}

/** Where nothing was recorded the paper is struck through, so that no line is taken for one. */
function drawGaps(to: CanvasRenderingContext2D, { gaps }: Lane, at: GapPlace, inks: Inks): void {
  to.strokeStyle = inks.soft;
  to.lineWidth = 0.7;
  for (const [fromS, toS] of gaps) {
    const [x0, x1] = [at.xOf(fromS), at.xOf(toS)];
    if (x1 - x0 < 1) continue;
    to.save();
    to.beginPath();
    to.rect(x0, at.top, x1 - x0, at.bottom - at.top);
    to.clip();
    const h = at.bottom - at.top;
    const first = Math.max(x0, -h) - h;
    for (let x = first - (first % 9); x < Math.min(x1, 4000); x += 9)
      line(to, x, at.bottom, x + h, at.top);
    to.restore();
    if (x1 - x0 < 90) continue;
    const [mid, y] = [(Math.max(x0, 0) + Math.min(x1, 4000)) / 2, (at.top + at.bottom) / 2];
    const half = to.measureText(at.text).width / 2 + 6;
    to.fillStyle = inks.paper;
    to.fillRect(mid - half, y - 10, 2 * half, 20);
    to.fillStyle = inks.ink;
    to.textAlign = 'center';
    to.fillText(at.text, mid, y + 4);
  }
}

interface Place {
  xOf(atS: number): number;
  yOf(value: number): number;
  raw: boolean;
}

/** The ink: a line through the means, the reach between least and greatest; dots where raw. */
function drawTrace(to: CanvasRenderingContext2D, lane: Lane, at: Place, ink: string): void {
  const { stretches, gaps } = lane;
  let next = 0;
  to.fillStyle = ink;
  to.strokeStyle = ink;
  to.lineJoin = 'round';
  if (!at.raw) {
    to.globalAlpha = 0.32;
    for (const one of stretches) {
      const x = at.xOf(one.fromS);
      const y = at.yOf(one.greatest);
      to.fillRect(x, y - 0.5, Math.max(1, at.xOf(one.toS) - x), at.yOf(one.least) - y + 1);
    }
    to.globalAlpha = 1;
  }
  to.lineWidth = at.raw ? 1.6 : 1.3;
  to.beginPath();
  let down = false;
  for (const one of stretches) {
    while (next < gaps.length && gaps[next]![0] < one.fromS - 1e-6) {
      next += 1;
      down = false;
    }
    const x = at.xOf((one.fromS + one.toS) / 2);
    const y = at.yOf(one.mean);
    if (down) to.lineTo(x, y);
    else to.moveTo(x, y);
    down = true;
  }
  to.stroke();
  if (at.raw && stretches.length < 400)
    for (const one of stretches) {
      to.beginPath();
      to.arc(at.xOf(one.fromS), at.yOf(one.mean), 2.2, 0, 2 * Math.PI);
      to.fill();
    }
}

function drawNotes(to: CanvasRenderingContext2D, sheet: Sheet, at: Across, inks: Inks): void {
  to.font = FONT;
  to.textAlign = 'left';
  const nameEndX = at.left + 16 + to.measureText(sheet.lanes[0]?.name ?? '').width;
  for (const { fromS, toS, text, kind } of sheet.notes) {
    const x0 = Math.max(at.left, at.xOf(fromS));
    const x1 = Math.min(at.right, at.xOf(toS));
    if (x1 < at.left || x0 > at.right) continue;
    to.strokeStyle = inks.ink;
    to.fillStyle = inks.ink;
    to.lineWidth = 1.2;
    to.setLineDash(kind === 'service' ? [8, 3, 2, 3] : []);
    line(to, x0, EDGE, x0, kind === 'service' ? at.bottom : EDGE + 7);
    if (kind === 'finding') {
      line(to, x0, EDGE + 1, x1, EDGE + 1);
      line(to, x1, EDGE, x1, EDGE + 7);
    }
    to.setLineDash([]);
    // The name of the lane stands at its left.
    const x = kind === 'service' ? x0 + 5 : Math.max(x0 + 5, nameEndX);
    const { width } = to.measureText(text);
    if (x + width < (kind === 'finding' ? x1 : at.right)) {
      const y = EDGE + (kind === 'service' ? 28 : 15);
      to.fillStyle = inks.paper;
      to.fillRect(x - 2, y - 11, width + 4, 15);
      to.fillStyle = inks.ink;
      to.fillText(text, x, y);
    }
  }
  if (sheet.cursorS !== null) {
    to.strokeStyle = inks.ink;
    to.lineWidth = 1;
    const x = at.xOf(sheet.cursorS);
    line(to, x, EDGE, x, at.bottom);
  }
}

function line(to: CanvasRenderingContext2D, x0: number, y0: number, x1: number, y1: number): void {
  to.beginPath();
  to.moveTo(x0, y0);
  to.lineTo(x1, y1);
  to.stroke();
}
