import { DAY_S } from '../constants.ts';
import type { Draw } from './draw.ts';

/** Real draws by day, each from its own midnight. */
export interface Trace {
  days: Draw[][];
}

/** Seconds without water within one draw of a fixture. */
const PAUSE_S = 3;
const MILLILITRE_M3 = 1e-6;

/**
 * Reads a trace of real use: CSV with heading `unix_s,fixture,millilitres,duration_s`, one row a
 * second that water ran or one row a use. Rows of one fixture that follow closely are one draw.
 * The flow is taken to hold at 50 psi. Throws RangeError that names the line it cannot read.
 */
export function readTrace(csv: string): Trace {
  const open = new Map<string, Draw & { endS: number }>();
  const draws: Draw[] = [];
  const lines = csv.split(/\r?\n/);
  if (lines[0] !== 'unix_s,fixture,millilitres,duration_s') {
    throw new RangeError(
      `trace, line 1: expected "unix_s,fixture,millilitres,duration_s", found "${lines[0]}"`,
    );
  }
  lines.slice(1).forEach((line, i) => {
    if (line === '') return;
    const [time, fixture = '', millilitres, duration] = line.split(',');
    const startS = Number(time);
    const volumeM3 = Number(millilitres) * MILLILITRE_M3;
    const lengthS = Number(duration);
    if (!(startS > 0 && volumeM3 >= 0 && lengthS > 0)) {
      throw new RangeError(`trace, line ${i + 2}: expected time,fixture,ml,s, found "${line}"`);
    }
    if (volumeM3 === 0) return;
    const last = open.get(fixture);
    if (last !== undefined && startS - last.endS <= PAUSE_S) {
      last.amount += volumeM3;
      last.endS = startS + lengthS;
      last.flowM3PerS = last.amount / (last.endS - last.startS);
      return;
    }
    const draw = {
      startS,
      flowM3PerS: volumeM3 / lengthS,
      endsBy: 'volume' as const,
      amount: volumeM3,
      what: fixture,
      endS: startS + lengthS,
    };
    open.set(fixture, draw);
    draws.push(draw);
  });
  return byDay(draws);
}

function byDay(draws: Draw[]): Trace {
  const days: Draw[][] = [];
  const first = Math.floor(Math.min(...draws.map((d) => d.startS)) / DAY_S);
  for (const draw of draws) {
    const index = Math.floor(draw.startS / DAY_S) - first;
    days[index] ??= [];
    days[index].push({ ...draw, startS: draw.startS - (first + index) * DAY_S });
  }
  return { days };
}

/** The draws of one day; a trace that has ended begins again. */
export function drawsOfTrace(trace: Trace, at: { dayIndex: number; midnightS: number }): Draw[] {
  const day = trace.days[at.dayIndex % trace.days.length] ?? [];
  return day.map((draw) => ({ ...draw, startS: draw.startS + at.midnightS }));
}
