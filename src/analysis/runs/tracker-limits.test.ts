import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  createTracker,
  currentGap,
  endTracker,
  pressureGap,
  pumpIsOn,
  type Row,
  stepTracker,
  type TrackedRun,
  type TrackerState,
} from './tracker.ts';

const PSI = 6894.757;
const row = (timeS: number, currentA: number, psi = NaN): Row => ({
  timeS,
  currentA,
  pressurePa: psi * PSI,
});
const rows = (fromS: number, toS: number, stepS: number, amps: number): Row[] =>
  Array.from({ length: Math.ceil((toS - fromS) / stepS) }, (_, i) => row(fromS + i * stepS, amps));

/** A tracker with the runs it told of. */
class Bench {
  readonly state: TrackerState = createTracker();
  readonly opened: TrackedRun[] = [];
  readonly closed: TrackedRun[] = [];
  readonly sink = {
    opened: (run: TrackedRun) => void this.opened.push(structuredClone(run)),
    closed: (run: TrackedRun) => void this.closed.push(structuredClone(run)),
  };
  readonly onChange: boolean;

  constructor(onChange = false) {
    this.onChange = onChange;
  }

  take(...list: Row[]): this {
    for (const r of list) stepTracker(this.state, r, this.sink, { onChange: this.onChange });
    return this;
  }

  /** Rest before time 0, so that the threshold is known with the first reading of a run. */
  rested(): this {
    return this.take(...rows(-100, 0, 5, 0.03));
  }
}

describe('the amps of a run', () => {
  it('are summed from two seconds after its first reading on', () => {
    const bench = new Bench().rested();
    bench.take(...rows(0, 2, 0.5, 20), ...rows(2, 10, 0.5, 8), ...rows(10, 20, 0.5, 0.03));
    const [run] = bench.closed;
    expect(run!.currentS).toBe(7.5);
    expect(run!.chargeAs).toBeCloseTo(8 * 7.5, 12);
    expect(run!.peakA).toBe(20);
  });

  it('are taken as straight between two readings', () => {
    const ramp = Array.from({ length: 21 }, (_, i) => row(i, 8 + i / 10));
    const bench = new Bench().rested().take(...ramp, ...rows(21, 40, 1, 0.03));
    // From 2 s to 20 s they go from 8.2 A to 10 A.
    expect(bench.closed[0]!.currentS).toBe(18);
    expect(bench.closed[0]!.chargeAs).toBeCloseTo(18 * 9.1, 9);
  });

  it('leave the pauses out', () => {
    const bench = new Bench().rested();
    bench.take(
      ...rows(0, 20, 1, 8),
      row(20, 0.03),
      ...rows(23, 40, 1, 8),
      ...rows(40, 60, 1, 0.03),
    );
    const [run] = bench.closed;
    expect(run).toMatchObject({ breaks: 1, pauses: [19.5, 23], lastResumeS: 23 });
    // 2 to 19 s, and 23 to 39 s.
    expect(run!.currentS).toBe(17 + 16);
    expect(run!.chargeAs / run!.currentS).toBeCloseTo(8, 12);
  });

  it('do not bridge a gap', () => {
    const bench = new Bench().rested().take(...rows(0, 30, 1, 8));
    currentGap(bench.state, bench.sink);
    expect(pumpIsOn(bench.state)).toBe(false);
    bench.take(...rows(500, 530, 1, 6), ...rows(530, 550, 1, 0.03));
    expect(bench.closed.map(({ begun, ended }) => [begun, ended])).toEqual([
      ['seen', 'gap'],
      ['gap', 'seen'],
    ]);
    expect(bench.closed[1]).toMatchObject({ startFromS: 500, startToS: 500, currentS: 27 });
    expect(bench.closed[1]!.chargeAs).toBeCloseTo(6 * 27, 9);
  });
});

describe('the ends of a run', () => {
  it('once seen stay seen, though a gap comes before five seconds are over', () => {
    const bench = new Bench().rested().take(...rows(0, 300, 60, 8), row(300, 0.03));
    currentGap(bench.state, bench.sink);
    expect(bench.closed).toHaveLength(1);
    expect(bench.closed[0]).toMatchObject({ ended: 'seen', stopFromS: 240, stopToS: 300 });
    // What comes after the gap finds no run to end.
    endTracker(bench.state, 900, bench.sink);
    expect(bench.closed).toHaveLength(1);
  });

  it('are told after five seconds of rest, no sooner and once', () => {
    const bench = new Bench().rested().take(...rows(0, 20, 1, 8), row(20, 0.03), row(24.9, 0.03));
    expect(bench.closed).toHaveLength(0);
    expect(pumpIsOn(bench.state)).toBe(false);
    bench.take(row(25, 0.03), row(30, 0.03));
    expect(bench.closed).toHaveLength(1);
  });

  it('are told by pressure alone too, where no more amps come', () => {
    const bench = new Bench().rested().take(...rows(0, 20, 1, 8), row(20, 0.03));
    bench.take({ timeS: 25, currentA: NaN, pressurePa: 55 * PSI });
    expect(bench.closed[0]).toMatchObject({ stopFromS: 19, stopToS: 20 });
  });

  it('are the first reading and the first off, where a log begins with the pump on', () => {
    const bench = new Bench().take(...rows(0, 40, 1, 8), ...rows(40, 60, 1, 0.03));
    expect(bench.closed).toHaveLength(1);
    expect(bench.closed[0]).toMatchObject({ begun: 'log-start', startFromS: 0, startToS: 0 });
    expect(bench.closed[0]).toMatchObject({ ended: 'seen', stopFromS: 39, stopToS: 40 });
  });

  it('are not made up for a log that began with the pump off', () => {
    const bench = new Bench().take(...rows(0, 3, 1, 0.03), ...rows(3, 9, 1, 8));
    bench.take(...rows(9, 60, 1, 0.03));
    expect(bench.state.threshold.thresholdA).toBeGreaterThan(0.03);
    expect(bench.opened.filter(({ begun }) => begun === 'log-start')).toEqual([]);
  });

  it('of a device that reports on change: it never waits longer than its finest step', () => {
    const bench = new Bench(true).take(...rows(-100, -10, 10, 0.03), row(-18, 0.03));
    bench.take(row(300, 8), row(330, 8), row(400, 0.03), row(460, 0.03));
    // Two seconds is how close it has reported; one is the least that is believed of it.
    expect(bench.closed[0]).toMatchObject({ startFromS: 298, startToS: 300 });
    expect(bench.closed[0]).toMatchObject({ stopFromS: 398, stopToS: 400 });
    const quick = new Bench(true)
      .take(...rows(-10, 0, 0.2, 0.03))
      .take(row(300, 8), row(400, 0.03));
    quick.take(row(460, 0.03));
    expect(quick.closed[0]).toMatchObject({ startFromS: 299, stopFromS: 399 });
  });
});

/** Use from 50 to 40 psi in 200 s, a fill to 60 psi in 60 s, then rest; no amps unless given. */
const cycle = (fromS: number, onA = NaN, offA = NaN): Row[] => [
  ...Array.from({ length: 40 }, (_, i) => row(fromS + 5 * i, offA, 50 - i / 4)),
  ...Array.from({ length: 61 }, (_, i) => row(fromS + 200 + i, onA, 40 + i / 3)),
  ...Array.from({ length: 30 }, (_, i) => row(fromS + 265 + 5 * i, offA, 59 - i / 20)),
];

describe('runs from pressure', () => {
  it('bear no word on amps that never came', () => {
    const bench = new Bench().take(...cycle(0), ...cycle(1000));
    expect(bench.closed).toHaveLength(2);
    for (const run of bench.closed) {
      expect(run).toMatchObject({ foundBy: 'pressure', currentSaidOff: false, peakA: 0 });
    }
  });

  it('bear none either after the amps have stopped coming', () => {
    const bench = new Bench().rested().take(...cycle(0, 8, 0.03));
    currentGap(bench.state, bench.sink);
    bench.take(...cycle(1000));
    expect(bench.closed.map(({ foundBy }) => foundBy)).toEqual(['current', 'pressure']);
    expect(bench.closed[1]!.currentSaidOff).toBe(false);
  });

  it('say so where amps stand by and say off', () => {
    const bench = new Bench().rested().take(...cycle(0, 0.03, 0.03));
    expect(bench.closed[0]).toMatchObject({ foundBy: 'pressure', currentSaidOff: true });
  });

  it('do not say so once the amps have come on, and there is one run then, not two', () => {
    const late = cycle(0, 0.03, 0.03).map((r) =>
      r.timeS >= 240 && r.timeS <= 260 ? { ...r, currentA: 8 } : r,
    );
    const bench = new Bench().rested().take(...late);
    expect(bench.closed).toHaveLength(1);
    expect(bench.closed[0]).toMatchObject({ foundBy: 'current', currentSaidOff: false, peakA: 8 });
    expect(bench.closed[0]).toMatchObject({ stopFromS: 260, stopToS: 265 });
  });

  it('end where they were last seen when pressure stops coming', () => {
    const bench = new Bench().take(...cycle(0).slice(0, 80));
    const lastS = cycle(0)[79]!.timeS;
    expect(pumpIsOn(bench.state)).toBe(true);
    pressureGap(bench.state, bench.sink);
    expect(bench.closed[0]).toMatchObject({ ended: 'gap', stopFromS: lastS, stopToS: lastS });
    // The level after a gap is compared with nothing before it.
    bench.take(row(2000, NaN, 40), row(2005, NaN, 40.5));
    pressureGap(bench.state, bench.sink);
    bench.take(row(2300, NaN, 58), row(2305, NaN, 58));
    expect(bench.opened).toHaveLength(1);
  });

  it('outlast a gap of the amps, as runs from amps outlast a gap of pressure', () => {
    const pressed = new Bench().rested().take(...cycle(0, NaN, NaN).slice(0, 80));
    currentGap(pressed.state, pressed.sink);
    expect(pumpIsOn(pressed.state)).toBe(true);
    pressed.take(...cycle(0).slice(80));
    expect(pressed.closed.map(({ foundBy, ended }) => [foundBy, ended])).toEqual([
      ['pressure', 'seen'],
    ]);
    const powered = new Bench().rested().take(...cycle(0, 8, 0.03).slice(0, 80));
    pressureGap(powered.state, powered.sink);
    expect(pumpIsOn(powered.state)).toBe(true);
    powered.take(...cycle(0, 8, 0.03).slice(80));
    expect(powered.closed.map(({ foundBy, ended }) => [foundBy, ended])).toEqual([
      ['current', 'seen'],
    ]);
  });

  it('leave a run that the amps show alone when pressure rises, stands and falls in it', () => {
    const held = [
      ...Array.from({ length: 30 }, (_, i) => row(i, 8, 40 + i / 3)),
      ...Array.from({ length: 200 }, (_, i) => row(30 + i, 8, 50)),
      ...Array.from({ length: 60 }, (_, i) => row(230 + i, 8, 50 - i / 10)),
    ];
    const bench = new Bench().rested().take(...held, ...rows(290, 310, 5, 0.03));
    expect(bench.closed).toHaveLength(1);
    expect(bench.closed[0]).toMatchObject({ startToS: 0, stopFromS: 289, stopToS: 290, breaks: 0 });
  });

  it('are one with what the amps then say of a log that begins in a run', () => {
    const begun = Array.from({ length: 30 }, (_, i) => row(i, 8, 40 + i / 3));
    const rest = Array.from({ length: 30 }, (_, i) => row(30 + i, 0.03, 49.9 - i / 10));
    const bench = new Bench().take(...begun, ...rest);
    expect(bench.opened).toHaveLength(1);
    expect(bench.closed).toHaveLength(1);
  });

  it('are not begun by what is left of a rise that the amps have seen the end of', () => {
    const bench = new Bench().rested().take(row(0, 0.03, 40));
    bench.take(...Array.from({ length: 20 }, (_, i) => row(1 + i, 8, 40 + i / 8)));
    bench.take(row(21, 0.03, 42.6), row(26, 0.03, 42.6), row(31, 0.03, 43.4), row(36, 0.03, 43.4));
    expect(bench.opened.map(({ foundBy }) => foundBy)).toEqual(['current']);
  });

  it('do not begin before the run before them has ended', () => {
    const bench = new Bench().take(...cycle(0));
    const { stopToS } = bench.closed[0]!;
    const again = new Bench().take(
      ...cycle(0).filter(({ timeS }) => timeS <= stopToS),
      row(stopToS + 2, NaN, 52),
      row(stopToS + 4, NaN, 58),
      row(stopToS + 6, NaN, 56),
    );
    expect(again.closed.length).toBe(2);
    expect(again.closed[1]!.startFromS).toBeGreaterThanOrEqual(again.closed[0]!.stopToS);
  });

  it('begin a minute at most before pressure leaves its lowest, if it stood at the cut-in', () => {
    const bench = new Bench().rested().take(...cycle(0, 8, 0.03));
    const cutInPsi = bench.state.cutInPa / PSI;
    bench.take(row(1000, 0.03, 50), row(1050, 0.03, 45), row(1095, 0.03, cutInPsi + 1));
    for (let t = 1100; t < 1300; t += 5) bench.take(row(t, 0.03, cutInPsi));
    bench.take(row(1300, 0.03, cutInPsi - 0.01), row(1305, 0.03, cutInPsi + 0.9));
    bench.take(row(1310, 0.03, cutInPsi + 4));
    expect(bench.opened[1]).toMatchObject({ foundBy: 'pressure' });
    expect(bench.opened[1]).toMatchObject({ startFromS: 1240, startToS: 1305 });
  });

  it('have ended before a run from amps begins, however long the amps were silent', () => {
    const bench = new Bench().rested().take(...cycle(0), row(420, 8));
    expect(bench.closed).toHaveLength(1);
    expect(bench.opened[1]).toMatchObject({ foundBy: 'current', startToS: 420 });
    expect(bench.opened[1]!.startFromS).toBe(bench.closed[0]!.stopToS);
  });

  it('between two readings a minute apart are bounded by them', () => {
    const levels = [46, 44, 42, 58, 57, 56.5, 56];
    const bench = new Bench().take(...levels.map((psi, i) => row(60 * i, NaN, psi)));
    expect(bench.closed).toHaveLength(1);
    const [run] = bench.closed;
    expect(run!.startFromS).toBeLessThanOrEqual(120);
    expect(run!.startToS).toBe(180);
    expect([run!.stopFromS, run!.stopToS]).toEqual([180, 240]);
  });
});

describe('what the tracker learns beside', () => {
  it('is the cut-in, as the amps show it, a tenth at a time', () => {
    const bench = new Bench().rested();
    const start = (timeS: number, psi: number): void => {
      bench.take(
        row(timeS - 1, 0.03, psi),
        row(timeS, 8, psi + 0.2),
        row(timeS + 9, 0.03, psi + 1),
      );
      bench.take(row(timeS + 20, 0.03, psi + 1));
    };
    start(100, 40);
    expect(bench.state.cutInPa).toBeCloseTo(40 * PSI, 6);
    start(1000, 42);
    expect(bench.state.cutInPa).toBeCloseTo(40.2 * PSI, 6);
  });

  it('is the noise at rest and in a run, each from its own readings', () => {
    const shaking = (fromS: number, amps: number, psi: number): Row[] =>
      Array.from({ length: 300 }, (_, i) => row(fromS + i, amps, 50 + (i % 2) * psi));
    const bench = new Bench().rested().take(...shaking(0, 0.03, 0.001), ...shaking(300, 8, 1));
    const { pressureNoise, runningNoise } = bench.state;
    expect(pressureNoise.count).toBeGreaterThan(290);
    expect(runningNoise.count).toBeGreaterThan(290);
    expect(pressureNoise.std).toBeLessThan(20);
    expect(runningNoise.std).toBeGreaterThan(1000);
  });
});

describe('any pump, looked at at any moments', () => {
  const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
  const pump = fc.array(fc.tuple(number(0.5, 300), number(0.5, 200)), {
    minLength: 1,
    maxLength: 8,
  });
  const steps = fc.array(number(0.5, 60), { minLength: 1, maxLength: 12 });

  function truthOf(spans: [number, number][]): [number, number][] {
    let t = 20;
    return spans.map(([rest, run]) => {
      const startS = t + rest;
      t = startS + run;
      return [startS, t];
    });
  }

  const holds = (truth: number[], fromS: number, toS: number): boolean =>
    truth.some((t) => t >= fromS - 1e-9 && t <= toS + 1e-9);

  function check(bench: Bench, truth: [number, number][]): void {
    let beforeS = -Infinity;
    for (const run of bench.closed) {
      expect(run.startFromS).toBeGreaterThanOrEqual(beforeS);
      expect(run.startFromS).toBeLessThanOrEqual(run.startToS);
      expect(run.startToS).toBeLessThanOrEqual(run.stopFromS);
      expect(run.stopFromS).toBeLessThanOrEqual(run.stopToS);
      expect(
        holds(
          truth.map(([start]) => start),
          run.startFromS,
          run.startToS,
        ),
      ).toBe(true);
      if (run.ended === 'seen') {
        expect(
          holds(
            truth.map(([, stop]) => stop),
            run.stopFromS,
            run.stopToS,
          ),
        ).toBe(true);
      }
      beforeS = run.stopToS;
    }
  }

  it('has a true start and a true stop inside each that is told, in order and in turn', () => {
    let runs = 0;
    fc.assert(
      fc.property(pump, steps, (spans, stepsS) => {
        const truth = truthOf(spans);
        const bench = new Bench().rested();
        let i = 0;
        let sawOn = 0;
        let wasOn = false;
        let t = 0;
        for (; t < truth.at(-1)![1] + 20; t += stepsS[i++ % stepsS.length]!) {
          const on = truth.some(([start, stop]) => t >= start && t < stop);
          if (on && !wasOn) sawOn += 1;
          wasOn = on;
          bench.take(row(t, on ? 8 : 0.03));
          expect(pumpIsOn(bench.state)).toBe(on);
        }
        endTracker(bench.state, t, bench.sink);
        expect(bench.closed.length).toBe(bench.opened.length);
        // Every burst that a reading fell into is in a run: as its start or as a break of one.
        expect(bench.closed.reduce((sum, { breaks }) => sum + 1 + breaks, 0)).toBe(sawOn);
        check(bench, truth);
        runs += bench.closed.length;
      }),
      { numRuns: 200 },
    );
    expect(runs).toBeGreaterThan(200);
  });

  it('is told as well by a device that reports changes, beside pressures at other moments', () => {
    let runs = 0;
    const spans = fc.array(fc.tuple(number(8, 400), number(6, 200)), {
      minLength: 1,
      maxLength: 8,
    });
    fc.assert(
      fc.property(spans, number(0, 0.9), number(0.5, 60), (list, delayS, stepS) => {
        const truth = truthOf(list);
        const changes = truth.flatMap(([start, stop]) => [
          row(start + delayS, 8),
          row(stop + delayS, 0.03),
        ]);
        const beats = Array.from({ length: 60 }, (_, i) => row(60 * i, 0.03)).filter(
          ({ timeS }) => timeS < truth[0]![0] || timeS > truth.at(-1)![1] + 1,
        );
        const endS = truth.at(-1)![1] + 20;
        const pressures = Array.from({ length: Math.ceil(endS / stepS) }, (_, i) =>
          row(i * stepS + 0.123, NaN, 50),
        );
        const all = [...changes, ...beats, ...pressures].sort((a, b) => a.timeS - b.timeS);
        const bench = new Bench(true).take(...rows(-200, 0, 10, 0.03), ...all);
        bench.take(row(endS + 3600, 0.03));
        expect(bench.closed.length).toBe(truth.length);
        check(bench, truth);
        runs += bench.closed.length;
      }),
      { numRuns: 100 },
    );
    expect(runs).toBeGreaterThan(100);
  });
});
