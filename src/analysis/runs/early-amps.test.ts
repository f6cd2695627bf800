import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodeState, encodeState } from '../../base/snapshot.ts';
import { createEarlyAmps, keepEarly } from './early-amps.ts';
import {
  createTracker,
  currentGap,
  endTracker,
  type Row,
  stepTracker,
  type TrackedRun,
  type TrackerState,
} from './tracker.ts';

const PSI = 6894.757;
const OFF = 0.03;
const ON = 8;

interface Told {
  state: TrackerState;
  opened: TrackedRun[];
  closed: TrackedRun[];
}

const sinkOf = ({ opened, closed }: Told) => ({
  opened: (run: TrackedRun) => void opened.push(structuredClone(run)),
  closed: (run: TrackedRun) => void closed.push(structuredClone(run)),
});

function take(rows: Row[], told: Told = { state: createTracker(), opened: [], closed: [] }): Told {
  for (const row of rows) stepTracker(told.state, row, sinkOf(told));
  return told;
}

/** One reading every step, in spells of so many readings. */
function spells(stepS: number, ...list: [readings: number, amps: number][]): Row[] {
  const amps = list.flatMap(([readings, a]) => new Array<number>(readings).fill(a));
  return amps.map((currentA, i) => ({ timeS: i * stepS, currentA, pressurePa: NaN }));
}

describe('the readings kept', () => {
  it('are the first nine and the last', () => {
    const early = createEarlyAmps();
    for (let i = 0; i < 50; i++) keepEarly(early, 5 * i, i);
    expect(early.timeS).toEqual([0, 5, 10, 15, 20, 25, 30, 35, 40, 245]);
    expect(early.currentA).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 49]);
  });
});

describe.each([1, 60])('a log with a reading every %d s', (stepS) => {
  it('that begins with two off and seven on holds that run', () => {
    const { closed } = take(spells(stepS, [2, OFF], [7, ON], [20, OFF]));
    expect(closed).toHaveLength(1);
    expect(closed[0]).toMatchObject({ begun: 'seen', startFromS: stepS, startToS: 2 * stepS });
    expect(closed[0]).toMatchObject({ ended: 'seen', stopFromS: 8 * stepS, stopToS: 9 * stepS });
  });

  it('of which the threshold is learnt within a run knows when that run began', () => {
    const { opened } = take(spells(stepS, [2, OFF], [30, ON]));
    expect(opened).toHaveLength(1);
    expect(opened[0]).toMatchObject({ begun: 'seen', startFromS: stepS, startToS: 2 * stepS });
  });

  it('that begins with one on counts it as on when the log began', () => {
    const { closed } = take(spells(stepS, [1, ON], [30, OFF]));
    expect(closed).toHaveLength(1);
    expect(closed[0]).toMatchObject({ begun: 'log-start', startFromS: 0, startToS: 0 });
    expect(closed[0]).toMatchObject({ ended: 'seen', stopFromS: 0, stopToS: stepS });
  });

  it('that begins in a long run knows its amps and its last reading', () => {
    const { closed } = take(spells(stepS, [90, ON], [20, OFF]));
    expect(closed).toHaveLength(1);
    expect(closed[0]).toMatchObject({ begun: 'log-start', stopFromS: 89 * stepS, peakA: ON });
    expect(closed[0]!.chargeAs / closed[0]!.currentS).toBeCloseTo(ON, 12);
  });

  it('that begins with runs and rests of one reading each holds them all', () => {
    const turns = Array.from({ length: 12 }, (_, i): [number, number] => [1, i % 2 ? ON : OFF]);
    const { closed } = take(spells(stepS, ...turns, [20, OFF]));
    const bursts = closed.reduce((sum, { breaks }) => sum + 1 + breaks, 0);
    expect(bursts).toBe(6);
    expect(closed).toHaveLength(stepS < 5 ? 1 : 6);
  });
});

describe('what pressure has told meanwhile', () => {
  const rise = (timeS: number, psi: number, currentA: number): Row => ({
    timeS,
    currentA,
    pressurePa: psi * PSI,
  });
  const levels = [44, 41, 46, 52, 57, 56, 54, 52, 50, 48, 46];

  it('is not told again', () => {
    const amps = [OFF, OFF, ON, ON, ON, OFF, OFF, OFF, OFF, OFF, OFF];
    const { closed } = take(levels.map((psi, i) => rise(60 * i, psi, amps[i]!)));
    expect(closed).toHaveLength(1);
    expect(closed[0]).toMatchObject({ foundBy: 'pressure', startFromS: 0, startToS: 120 });
    expect(closed[0]).toMatchObject({ stopFromS: 240, stopToS: 300 });
  });

  it('is one with what the amps then say, and the cut-in is not that of now', () => {
    const climbing = levels.map((_, i) => (i < 2 ? 44 - 3 * i : 40 + 3 * i));
    const told = take(climbing.map((psi, i) => rise(60 * i, psi, i < 2 ? OFF : ON)));
    expect(told.opened).toHaveLength(1);
    endTracker(told.state, 660, sinkOf(told));
    expect(told.closed).toHaveLength(1);
    expect(told.closed[0]).toMatchObject({ foundBy: 'current', startFromS: 60, startToS: 120 });
    expect(told.state.cutInPa).toBeNaN();
    expect(told.state.lastPressurePa).toBe(70 * PSI);
  });
});

describe('the pressure of now', () => {
  it('is not taken for that of a start or a stop of then', () => {
    const rows = spells(1, [2, OFF], [3, ON], [4, OFF], [1, ON]);
    const told = take(rows.map((row) => ({ ...row, pressurePa: 50 * PSI })));
    expect(told.opened).toHaveLength(1);
    expect(told.state.cutInPa).toBeNaN();
    expect(told.state.doubt.cutOutPa).toBeNaN();
    expect(told.state.lastPressurePa).toBe(50 * PSI);
  });
});

describe('a gap before the threshold is known', () => {
  it('is not bridged', () => {
    const told = take(spells(5, [3, OFF], [4, ON]));
    currentGap(told.state, sinkOf(told));
    const later = spells(5, [3, ON], [20, OFF]).map((row) => ({ ...row, timeS: row.timeS + 900 }));
    const { closed } = take(later, told);
    expect(closed).toHaveLength(1);
    expect(closed[0]).toMatchObject({ begun: 'gap', startFromS: 900, startToS: 900 });
    expect(closed[0]).toMatchObject({ ended: 'seen', stopFromS: 910, stopToS: 915 });
  });
});

describe('any beginning', () => {
  it('may be saved and restored anywhere', () => {
    const beginning = fc.array(fc.constantFrom(OFF, ON), { minLength: 1, maxLength: 14 });
    fc.assert(
      fc.property(beginning, fc.nat({ max: 14 }), fc.constantFrom(1, 7), (amps, cut, stepS) => {
        const list = amps.map((a): [number, number] => [1, a]);
        const rows = spells(stepS, ...list, [12, OFF], [12, ON], [12, OFF]);
        const whole = take(rows);
        const first = take(rows.slice(0, cut));
        first.state = decodeState<TrackerState>(encodeState(first.state));
        expect(take(rows.slice(cut), first)).toEqual(whole);
      }),
      { numRuns: 100 },
    );
  });

  it('holds every reading that said on in a run, and none that said off', () => {
    const beginning = fc.array(fc.constantFrom(OFF, ON), { minLength: 1, maxLength: 14 });
    fc.assert(
      fc.property(beginning, (amps) => {
        const rows = spells(7, ...amps.map((a): [number, number] => [1, a]), [12, OFF]);
        const { closed } = take(rows);
        const inRun = rows.map(({ timeS }) =>
          closed.some((run) => timeS >= run.startToS && timeS <= run.stopFromS),
        );
        expect(inRun).toEqual(rows.map(({ currentA }) => currentA === ON));
      }),
      { numRuns: 200 },
    );
  });
});
