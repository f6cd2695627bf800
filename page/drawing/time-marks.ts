import { localToUnixS, utcOffsetS } from '../../src/base/zone.ts';

export interface TimeMark {
  atS: number;
  text: string;
  /** A day, month or year begins, so that the mark says which. */
  strong: boolean;
}

const DAY_S = 86_400;
/** Steps of marks below a day, s. */
const STEPS_S = [
  0.1, 0.2, 0.5, 1, 2, 5, 10, 30, 60, 120, 300, 600, 1800, 3600, 7200, 10_800, 21_600, 43_200,
] as const;
/** Beyond, in days, then months. */
const DAY_STEPS = [1, 2, 7, 14];
const MONTH_STEPS = [1, 2, 3, 6, 12, 24, 60];
const MONTH_S = 30.44 * DAY_S;

/** Marks of a span in the zone of the well, about `most` of them at most. */
export function timeMarks(fromS: number, toS: number, zone: string, most: number): TimeMark[] {
  const wanted = (toS - fromS) / Math.max(1, most);
  const step = STEPS_S.find((one) => one >= wanted);
  if (step !== undefined) return withinDays(fromS, toS, zone, step);
  const days = DAY_STEPS.find((one) => one * DAY_S >= wanted);
  if (days !== undefined) return ofDays(fromS, toS, zone, days);
  const months = MONTH_STEPS.find((one) => one * MONTH_S >= wanted) ?? 120;
  return ofMonths(fromS, toS, zone, months);
}

/** Local wall time of an instant, as if it were UTC. */
const wallS = (zone: string, atS: number): number => atS + utcOffsetS(zone, atS);
const wallText = (zone: string, atS: number): string =>
  new Date(Math.round(wallS(zone, atS) * 1000)).toISOString();

function withinDays(fromS: number, toS: number, zone: string, step: number): TimeMark[] {
  const marks: TimeMark[] = [];
  const offset = utcOffsetS(zone, fromS);
  for (let k = Math.ceil((fromS + offset) / step); ; k++) {
    let atS = k * step - offset;
    // Where the clock changes within the span, marks stay at round wall times.
    const drift = wallS(zone, atS) - k * step;
    if (step >= 3600) atS -= drift;
    if (atS > toS) return marks;
    if (atS < fromS) continue;
    const text = wallText(zone, atS);
    const midnight = text.slice(11, 19) === '00:00:00' && step >= 60;
    if (midnight) marks.push({ atS, text: text.slice(5, 10), strong: true });
    else if (step < 1) marks.push({ atS, text: text.slice(17, 21), strong: false });
    else marks.push({ atS, text: text.slice(11, step < 60 ? 19 : 16), strong: false });
  }
}

/** The instant a local day begins, the first where its midnight comes twice or is skipped. */
function midnightS(zone: string, y: number, mo: number, d: number): number {
  const date = new Date(Date.UTC(y, mo - 1, d));
  const parts = [date.getUTCFullYear(), date.getUTCMonth() + 1, date.getUTCDate()] as const;
  const found =
    localToUnixS(zone, ...parts, 0, 0, 0)[0] ?? localToUnixS(zone, ...parts, 1, 0, 0)[0];
  return found ?? date.getTime() / 1000;
}

function ofDays(fromS: number, toS: number, zone: string, step: number): TimeMark[] {
  const first = Math.floor(wallS(zone, fromS) / DAY_S);
  const marks: TimeMark[] = [];
  for (let day = Math.ceil(first / step) * step; ; day += step) {
    const date = new Date(day * DAY_S * 1000);
    const atS = midnightS(zone, date.getUTCFullYear(), date.getUTCMonth() + 1, date.getUTCDate());
    if (atS > toS) return marks;
    if (atS < fromS) continue;
    const text = date.toISOString().slice(5, 10);
    marks.push({ atS, text, strong: date.getUTCDate() === 1 });
  }
}

function ofMonths(fromS: number, toS: number, zone: string, step: number): TimeMark[] {
  const [year = 0, month = 0] = wallText(zone, fromS).split('-').map(Number);
  const marks: TimeMark[] = [];
  for (let k = Math.ceil((year * 12 + month - 1) / step) * step; ; k += step) {
    const [y, mo] = [Math.floor(k / 12), (k % 12) + 1];
    const atS = midnightS(zone, y, mo, 1);
    if (atS > toS) return marks;
    if (atS < fromS) continue;
    const strong = mo === 1;
    marks.push({
      atS,
      text: strong || step >= 12 ? `${y}` : `${y}-${String(mo).padStart(2, '0')}`,
      strong,
    });
  }
}
