import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createTracker, endTracker, type Row, stepTracker, type TrackedRun } from './tracker.ts';

const PSI = 6894.757;
const STEPS_S = [0.5, 1, 5, 15, 30, 60];

interface Pump {
  /** Rest and run in turn [s]. */
  spans: [number, number][];
  /** Psi that pressure falls by, half way through a run, while somebody draws heavily. */
  dipPsi: number;
}

const startsAndStops = ({ spans }: Pump): [number, number][] => {
  let t = 0;
  return spans.map(([rest, run]) => {
    const startS = t + rest;
    t = startS + run;
    return [startS, t];
  });
};

/** Pressure falls from 60 to 40 psi in each rest and rises again in each run, but for a dip. */
function pressureAt(pump: Pump, timeS: number): number {
  let t = 0;
  for (const [rest, run] of pump.spans) {
    const into = timeS - t;
    if (into < rest) return (60 - (20 * into) / rest) * PSI;
    t += rest + run;
    const share = (into - rest) / run;
    const dip = share > 0.4 && share < 0.6 ? pump.dipPsi : 0;
    if (share < 1) return (40 + 20 * share - dip) * PSI;
  }
  return (60 - (timeS - t) / 1000) * PSI;
}

interface Look {
  stepS: number;
  /** The current is looked at this share of a step after pressure. */
  apart: number;
  /** What the device makes of the current since its reading before. */
  by: 'value' | 'peak' | 'late';
}

function rowsOf(pump: Pump, look: Look): Row[] {
  const { stepS, apart, by } = look;
  const truth = startsAndStops(pump);
  const on = (t: number): boolean => truth.some(([start, stop]) => t >= start && t < stop);
  const runsSince = (t: number): boolean =>
    truth.some(([start, stop]) => start <= t && stop > t - stepS);
  const showsOn = { value: on, peak: runsSince, late: (t: number) => on(t - 0.9 * stepS) }[by];
  const endS = truth.at(-1)![1] + 4 * stepS + 60;
  const rows: Row[] = [];
  for (let k = 0; k * stepS < endS; k++) {
    const timeS = k * stepS;
    const lateS = timeS + apart * stepS;
    const pressurePa = pressureAt(pump, timeS);
    const currentA = showsOn(lateS) ? 8 : 0.03;
    if (apart === 0) rows.push({ timeS, pressurePa, currentA });
    else
      rows.push({ timeS, pressurePa, currentA: NaN }, { timeS: lateS, pressurePa: NaN, currentA });
  }
  return rows;
}

function runsIn(rows: Row[]): TrackedRun[] {
  const state = createTracker();
  const closed: TrackedRun[] = [];
  const opened: TrackedRun[] = [];
  const sink = {
    opened: (run: TrackedRun) => void opened.push(run),
    closed: (run: TrackedRun) => void closed.push(run),
  };
  for (const row of rows) stepTracker(state, row, sink);
  endTracker(state, rows.at(-1)!.timeS, sink);
  expect(opened).toEqual(closed);
  return closed;
}

/** Rests and runs of two steps and more, so that readings of both channels fall into each. */
const pumps = (stepS: number): fc.Arbitrary<Pump> =>
  fc.record({
    spans: fc.array(
      fc.tuple(
        fc.double({ min: 15 * stepS + 60, max: 40 * stepS + 900, noNaN: true }),
        fc.double({ min: 3.2 * stepS + 8, max: 12 * stepS + 60, noNaN: true }),
      ),
      { minLength: 4, maxLength: 6 },
    ),
    dipPsi: fc.constantFrom(0, 3, 6),
  });

describe.each(STEPS_S)('at a reading every %d s', (stepS) => {
  it.each<Look['by']>(['value', 'peak', 'late'])('a run is one run, current by %s', (by) => {
    fc.assert(
      fc.property(pumps(stepS), fc.constantFrom(0, 0.1, 0.5, 0.9), (pump, apart) => {
        const truth = startsAndStops(pump);
        const runs = runsIn(rowsOf(pump, { stepS, apart, by }));
        expect(runs.map(({ foundBy }) => foundBy)).toEqual(truth.map(() => 'current'));
        for (const [i, run] of runs.entries()) {
          const [startS, stopS] = truth[i]!;
          expect(run.startFromS).toBeLessThan(startS + 2 * stepS);
          expect(run.startToS).toBeGreaterThan(startS - 1e-9);
          expect(run.stopFromS).toBeLessThan(stopS + 2 * stepS);
          expect(run.stopToS).toBeGreaterThan(stopS - 1e-9);
          expect(run.currentSaidOff).toBe(false);
        }
      }),
      { numRuns: stepS < 1 ? 15 : 40, seed: 20_260_406 },
    );
  });
});
