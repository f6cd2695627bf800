import { describe, expect, it } from 'vitest';
import { decodeState, encodeState } from '../../base/snapshot.ts';
import {
  createTracker,
  currentGap,
  pressureGap,
  pumpIsOn,
  type Row,
  stepTracker,
  type TrackedRun,
  type TrackerState,
} from './tracker.ts';

const PSI = 6894.757;
const OFF = 0.03;
const ON = 8;

const both = (timeS: number, psi: number, currentA: number): Row => ({
  timeS,
  currentA,
  pressurePa: psi * PSI,
});
const pressure = (timeS: number, psi: number): Row => both(timeS, psi, NaN);
const amps = (timeS: number, currentA: number): Row => both(timeS, NaN, currentA);

class Bench {
  state: TrackerState = createTracker();
  readonly opened: TrackedRun[] = [];
  readonly closed: TrackedRun[] = [];
  readonly sink = {
    opened: (run: TrackedRun) => void this.opened.push(structuredClone(run)),
    closed: (run: TrackedRun) => void this.closed.push(structuredClone(run)),
  };

  take(...rows: Row[]): this {
    for (const row of rows) {
      stepTracker(this.state, row, this.sink);
      this.state = decodeState<TrackerState>(encodeState(this.state));
    }
    return this;
  }
}

/** Rest with a fall to 45 psi, both channels every minute: off is known, then one run of four. */
function taught(): Bench {
  const bench = new Bench();
  for (let k = 0; k < 12; k++) bench.take(both(-900 + 60 * k, 57 - k, OFF));
  bench.take(both(-180, 46, ON), both(-120, 52, ON), both(-60, 58, OFF), both(0, 56, OFF));
  bench.closed.length = 0;
  bench.opened.length = 0;
  return bench;
}

describe('a run that pressure sees before the current', () => {
  const begun = (): Bench =>
    taught().take(pressure(60, 50), amps(90, OFF), pressure(120, 41), amps(150, OFF));

  it('is ended by the current, though pressure turns in it', () => {
    const bench = begun().take(pressure(180, 46), amps(210, ON), pressure(240, 52));
    bench.take(amps(270, ON), pressure(300, 47), amps(330, ON), pressure(360, 55));
    bench.take(amps(390, OFF), pressure(420, 58), amps(450, OFF), pressure(480, 57));
    expect(bench.closed).toHaveLength(1);
    // Pressure left its lowest after 120 s, the current last said off at 150 s.
    expect(bench.closed[0]).toMatchObject({ startFromS: 150, startToS: 180, foundBy: 'current' });
    expect(bench.closed[0]).toMatchObject({ stopFromS: 330, stopToS: 390, breaks: 0 });
  });

  const turned = (): Bench => begun().take(pressure(180, 58), pressure(205, 54));

  it('waits for the current to say how it ended', () => {
    const bench = turned();
    expect(bench.closed).toHaveLength(0);
    expect(pumpIsOn(bench.state)).toBe(false);
    bench.take(amps(210, OFF));
    expect(bench.closed).toHaveLength(1);
    expect(bench.closed[0]).toMatchObject({ foundBy: 'pressure', stopFromS: 180, stopToS: 205 });
    const late = turned().take(amps(210, ON));
    expect(late.closed).toHaveLength(0);
    expect(pumpIsOn(late.state)).toBe(true);
    late.take(amps(270, OFF), pressure(300, 53));
    expect(late.closed).toHaveLength(1);
    expect(late.closed[0]).toMatchObject({ foundBy: 'current', stopFromS: 210, stopToS: 270 });
    expect(late.closed[0]).toMatchObject({ breaks: 0, currentSaidOff: false });
  });

  it('waits half a step beyond the next reading, no longer', () => {
    // Its last was at 150 s, and they came a minute apart.
    const bench = turned().take(pressure(240, 53));
    expect(bench.closed).toHaveLength(0);
    bench.take(pressure(241, 53));
    expect(bench.closed).toHaveLength(1);
    expect(bench.closed[0]).toMatchObject({ ended: 'seen', stopFromS: 180, stopToS: 205 });
  });

  it('does not wait where the current has spoken, or has stopped coming', () => {
    const spoken = taught().take(both(60, 41, OFF), both(120, 58, OFF), both(180, 54, OFF));
    expect(spoken.closed).toHaveLength(1);
    const silent = begun().take(pressure(180, 58));
    currentGap(silent.state, silent.sink);
    silent.take(pressure(240, 54));
    expect(silent.closed).toHaveLength(1);
    const gone = turned();
    pressureGap(gone.state, gone.sink);
    expect(gone.closed[0]).toMatchObject({ ended: 'seen', stopFromS: 180, stopToS: 205 });
  });

  it('does not wait for a current of which there was one reading', () => {
    const bench = new Bench().take(amps(-1, OFF));
    const levels = [44, 41, 47, 53, 58, 55];
    bench.take(...levels.map((psi, i) => pressure(60 * i, psi)));
    expect(bench.closed).toHaveLength(1);
  });

  it('is over when pressure rises anew, whatever the current will say', () => {
    const bench = taught().take(pressure(30, 50), pressure(60, 41), amps(61, OFF));
    bench.take(pressure(70, 50), pressure(80, 58), pressure(90, 52), pressure(95, 58));
    expect(bench.closed).toHaveLength(1);
    expect(bench.closed[0]).toMatchObject({ stopFromS: 80, stopToS: 90 });
    expect(bench.opened).toHaveLength(2);
    expect(bench.opened[1]!.startFromS).toBe(90);
  });
});

describe('a rise that goes on after the current has shown the end of its run', () => {
  /** A device that smooths pressure over a minute shows it climb for a minute more. */
  const smoothed = (bench: Bench): Bench => {
    for (let t = 60; t <= 240; t += 15)
      bench.take(both(t, t < 150 ? 40 + (t - 60) / 9 : 50 + (t - 150) / 9, t <= 150 ? ON : OFF));
    return bench;
  };

  it('is no second run, whether or not the current is trusted by then', () => {
    expect(smoothed(taught()).opened).toHaveLength(1);
    const trusted = taught();
    trusted.state.doubt.shown = 9;
    trusted.state.doubt.cutOutPa = 58 * PSI;
    smoothed(trusted).take(both(255, 60, OFF), both(270, 60, OFF));
    expect(trusted.opened).toHaveLength(1);
    expect(trusted.closed[0]).toMatchObject({ stopFromS: 150, stopToS: 165 });
  });

  it('hides no run that comes after it', () => {
    const bench = smoothed(taught()).take(both(300, 56, OFF), both(360, 48, OFF));
    bench.take(both(420, 41, OFF), both(480, 50, OFF), both(540, 58, OFF), both(600, 57, OFF));
    expect(bench.closed.map(({ foundBy }) => foundBy)).toEqual(['current', 'pressure']);
    expect(bench.closed[1]).toMatchObject({ startToS: 480, stopFromS: 540, stopToS: 600 });
  });

  it('is one where the current was lost in it, for then nobody saw the end', () => {
    const bench = taught().take(both(60, 41, ON), both(75, 44, ON), both(90, 47, ON));
    currentGap(bench.state, bench.sink);
    for (let t = 105; t <= 150; t += 15) bench.take(pressure(t, 47 + (t - 90) / 5));
    bench.take(pressure(165, 56));
    expect(bench.closed.map(({ foundBy, ended }) => [foundBy, ended])).toEqual([
      ['current', 'gap'],
      ['pressure', 'seen'],
    ]);
  });
});

describe('the current denies a run', () => {
  const saidOff = (...rows: Row[]): boolean => {
    const bench = taught().take(both(30, 43, OFF), ...rows, pressure(900, 30));
    const run = bench.closed.find(({ foundBy }) => foundBy === 'pressure');
    return run!.currentSaidOff;
  };

  it('when it says off and pressure rises on after that', () => {
    expect(saidOff(both(60, 50, OFF), both(120, 54, OFF), both(180, 50, OFF))).toBe(true);
    expect(saidOff(both(60, 50, OFF), both(120, 51.2, OFF), both(180, 50, OFF))).toBe(true);
  });

  it('not by the reading before it, nor by that of its highest pressure', () => {
    expect(saidOff(both(60, 58, OFF), both(120, 55, OFF))).toBe(false);
    expect(saidOff(both(60, 58, OFF), both(120, 58.5, OFF), both(180, 55, OFF))).toBe(false);
    expect(saidOff(pressure(60, 46), pressure(70, 52), pressure(80, 58), pressure(90, 55))).toBe(
      false,
    );
  });

  it('not by a reading between the last two that rose', () => {
    expect(saidOff(pressure(60, 48), amps(90, OFF), pressure(120, 57), both(180, 54, OFF))).toBe(
      false,
    );
    const on = [pressure(60, 48), amps(90, OFF), pressure(120, 53), pressure(180, 57)];
    expect(saidOff(...on, both(240, 54, OFF))).toBe(true);
  });

  it('not by noise', () => {
    const shaking = Array.from({ length: 200 }, (_, k) => both(31 + k, 43 + (k % 2), OFF));
    const jump = [both(240, 60, OFF), both(241, 61.3, OFF), both(250, 50, OFF)];
    expect(saidOff(...jump)).toBe(true);
    expect(saidOff(...shaking, ...jump)).toBe(false);
  });

  it('not by what it said before pressure last fell', () => {
    const first = [both(60, 50, OFF), both(120, 54, OFF), both(180, 48, OFF), both(240, 43, OFF)];
    const bench = taught().take(
      both(30, 43, OFF),
      ...first,
      both(300, 58, OFF),
      both(360, 56, OFF),
    );
    expect(bench.closed.map(({ currentSaidOff }) => currentSaidOff)).toEqual([true, false]);
  });
});

describe('a flicker', () => {
  /** The greatest current since the reading before, each second. */
  const peaks = (bursts: [number, number][], endS: number): Row[] =>
    Array.from({ length: endS }, (_, t) =>
      amps(t, bursts.some(([from, to]) => from <= t && to > t - 1) ? ON : OFF),
    );

  it('of a third of a second is a run where the device holds the peak', () => {
    const bursts: [number, number][] = [
      [20.3, 20.6],
      [40.3, 40.6],
    ];
    const bench = new Bench().take(...peaks(bursts, 70));
    expect(bench.closed).toHaveLength(2);
    expect(bench.closed[0]).toMatchObject({ startFromS: 20, startToS: 21, stopToS: 22 });
  });

  it('close to the next is a break of one run', () => {
    const bursts = Array.from({ length: 6 }, (_, k): [number, number] => [
      20 + 3 * k,
      20.4 + 3 * k,
    ]);
    const bench = new Bench().take(...peaks(bursts, 70));
    expect(bench.closed).toHaveLength(1);
    expect(bench.closed[0]!.breaks).toBe(5);
  });

  it('is a run from the first on where the device tells of changes', () => {
    const bench = new Bench();
    const changes = [10, 30, 50, 70, 90, 110].flatMap((t) => [amps(t, ON), amps(t + 0.3, OFF)]);
    for (const row of [amps(0, OFF), ...changes, amps(170, OFF)])
      stepTracker(bench.state, row, bench.sink, { onChange: true });
    expect(bench.closed).toHaveLength(6);
    for (const [i, run] of bench.closed.entries()) {
      expect(run.startToS).toBe(10 + 20 * i);
      expect(run.stopToS).toBeCloseTo(10.3 + 20 * i, 9);
    }
  });
});
