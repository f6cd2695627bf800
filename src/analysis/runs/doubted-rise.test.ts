import { describe, expect, it } from 'vitest';
import { PSI_PA } from '../../units/table.ts';
import { createTracker, currentGap, type Row, stepTracker, type TrackedRun } from './tracker.ts';

const row = (timeS: number, currentA: number, psi: number): Row => ({
  timeS,
  currentA,
  pressurePa: psi * PSI_PA,
});

/** Use from 50 to 40 psi in 200 s, a fill to 60 psi in 60 s, then rest. */
const cycle = (fromS: number, onA: number): Row[] => [
  ...Array.from({ length: 40 }, (_, i) => row(fromS + 5 * i, 0.03, 50 - i / 4)),
  ...Array.from({ length: 60 }, (_, i) => row(fromS + 200 + i, onA, 40 + i / 3)),
  ...Array.from({ length: 30 }, (_, i) => row(fromS + 260 + 5 * i, 0.03, 59.5 - i / 20)),
];
const fall = (fromS: number, toPsi: number): Row[] =>
  Array.from({ length: 40 }, (_, i) => row(fromS + 5 * i, 0.03, 58 - ((58 - toPsi) * i) / 39));

/** Four runs that the current shows, then the rows: all runs told. */
function runsAfter(...rows: Row[]): TrackedRun[] {
  const state = createTracker();
  const closed: TrackedRun[] = [];
  const sink = { opened: () => {}, closed: (run: TrackedRun) => void closed.push(run) };
  const shown = [0, 1, 2, 3].flatMap((k) => cycle(500 * k, 8));
  for (const one of [...shown, ...rows]) stepTracker(state, one, sink);
  expect(closed.slice(0, 4).map(({ foundBy }) => foundBy)).toEqual(Array(4).fill('current'));
  return closed.slice(4);
}

describe('a rise of pressure against a current that has shown the last runs', () => {
  it('is a run when it goes from cut-in to cut-out, and begins where it rose', () => {
    const runs = runsAfter(...cycle(2000, 0.03), ...cycle(2500, 0.03));
    expect(runs.map(({ foundBy, currentSaidOff }) => [foundBy, currentSaidOff])).toEqual([
      ['pressure', true],
      ['pressure', true],
    ]);
    for (const [k, run] of runs.entries()) {
      expect(run.startFromS).toBeLessThanOrEqual(2200 + 500 * k);
      expect(run.startToS).toBeLessThan(2206 + 500 * k);
      expect(run.stopFromS).toBe(2259 + 500 * k);
    }
  });

  it('is a run of a pump seen twice only, though no reading fell near cut-in', () => {
    const rows = [...fall(2000, 46), row(2210, 0.03, 59.4), row(2225, 0.03, 59.3)];
    expect(runsAfter(...rows, row(2240, 0.03, 55)).length).toBe(1);
  });

  it.each<[string, Row[]]>([
    ['one reading high', [...fall(2000, 40), row(2201, 0.03, 57), row(2206, 0.03, 41)]],
    [
      'a rebound in the middle',
      [...fall(2000, 47), ...[50, 51, 52, 52.5, 52].map((psi, i) => row(2200 + 5 * i, 0.03, psi))],
    ],
    [
      'a rebound at the cut-in',
      [...fall(2000, 40), ...[42, 44, 46, 46, 45].map((psi, i) => row(2200 + 5 * i, 0.03, psi))],
    ],
    [
      'a signal that springs',
      [...fall(2000, 43), ...[168, 168, 168, 168].map((psi, i) => row(2200 + 5 * i, 0.03, psi))],
    ],
  ])('is none when it is %s', (_name, rows) => {
    expect(runsAfter(...rows, row(2400, 0.03, 40)).length).toBe(0);
  });

  it('is doubted no more once the current has stopped coming', () => {
    const state = createTracker();
    const opened: TrackedRun[] = [];
    const sink = { opened: (run: TrackedRun) => void opened.push(run), closed: () => {} };
    const shown = [0, 1, 2, 3].flatMap((k) => cycle(500 * k, 8));
    for (const one of shown) stepTracker(state, one, sink);
    currentGap(state, sink);
    const short = [...fall(2000, 46), row(2200, NaN, 48), row(2205, NaN, 50)];
    for (const one of short) stepTracker(state, { ...one, currentA: NaN }, sink);
    expect(opened.map(({ foundBy }) => foundBy).slice(4)).toEqual(['pressure']);
  });

  it('loses no run of the current that comes while it is doubted', () => {
    const rebound = [47, 50, 52].map((psi, i) => row(2200 + i, 0.03, psi));
    const run = Array.from({ length: 20 }, (_, i) => row(2203 + i, 8, 52 + i / 3));
    const runs = runsAfter(
      ...fall(2000, 46),
      ...rebound,
      ...run,
      row(2223, 0.03, 58),
      row(2240, 0, 57),
    );
    expect(runs.map(({ foundBy, startToS }) => [foundBy, startToS])).toEqual([['current', 2203]]);
  });
});
