import type { Evidence } from '../../src/model/study.ts';
import { shownAs } from '../../src/report/figures.ts';
import type { Pen } from '../data/record.ts';

/** A piece of evidence on the paper: when it was seen, and the pen whose value it is, if one's. */
export interface SeenMark {
  fromS: number;
  toS: number;
  /** Its number in the list beside the paper, or those of several. */
  text: string;
  level: { pen: Pen; value: number } | null;
}

export interface SeenPlace {
  xOf(atS: number): number;
  /** Where a value lies; null where it is none of the paper's. */
  yOf(pen: Pen, value: number): number | null;
  left: number;
  right: number;
  /** Between the lanes: for what is no value of a pen. */
  betweenY: number;
}

const PENS: Partial<Record<string, Pen>> = { pressure: 'pressure', current: 'current' };

/** Evidence by its numbers; what is of no pen and of one time has one mark. */
export function seenMarks(evidence: readonly Evidence[]): SeenMark[] {
  const marks: SeenMark[] = [];
  for (const [i, { from, to, unit, observed }] of evidence.entries()) {
    if (from === undefined || to === undefined) continue;
    const [fromS, toS] = [Date.parse(from) / 1000, Date.parse(to) / 1000];
    const pen = PENS[shownAs(unit).kind];
    const level = pen === undefined ? null : { pen, value: observed };
    const same = marks.find((one) => one.level === null && one.fromS === fromS && one.toS === toS);
    if (level === null && same !== undefined) same.text += `, ${i + 1}`;
    else marks.push({ fromS, toS, text: `${i + 1}`, level });
  }
  return marks;
}

/** A moment is so wide at least, px. */
const LEAST = 10;
const FLAG = { height: 15, pad: 4 };

/** Each mark is a bar over its time, at its value or between the lanes, with its number. */
export function drawSeen(
  to: CanvasRenderingContext2D,
  marks: readonly SeenMark[],
  at: SeenPlace,
  inks: { ink: string; paper: string },
): void {
  to.strokeStyle = inks.ink;
  to.textAlign = 'center';
  for (const { fromS, toS, text, level } of marks) {
    const x0 = Math.max(at.left, at.xOf(fromS));
    const x1 = Math.min(at.right, Math.max(at.xOf(toS), x0 + LEAST));
    if (x1 <= at.left || x0 >= at.right) continue;
    const y = (level && at.yOf(level.pen, level.value)) ?? at.betweenY;
    to.lineWidth = 2;
    to.beginPath();
    for (const x of [x0, x1]) {
      to.moveTo(x, y - 4);
      to.lineTo(x, y + 4);
    }
    to.moveTo(x0, y);
    to.lineTo(x1, y);
    to.stroke();
    const width = to.measureText(text).width + 2 * FLAG.pad;
    const x = x1 + 3 + width > at.right ? x0 - 3 - width : x1 + 3;
    to.lineWidth = 1;
    to.fillStyle = inks.paper;
    to.fillRect(x, y - FLAG.height / 2, width, FLAG.height);
    to.strokeRect(x, y - FLAG.height / 2, width, FLAG.height);
    to.fillStyle = inks.ink;
    to.fillText(text, x + width / 2, y + 4);
  }
}
