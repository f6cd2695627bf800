import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodeState, encodeState } from '../../base/snapshot.ts';
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

interface Book {
  opened: TrackedRun[];
  closed: TrackedRun[];
}

const book = (): Book => ({ opened: [], closed: [] });
const sinkOf = (b: Book) => ({
  opened: (run: TrackedRun) => void b.opened.push({ ...run }),
  closed: (run: TrackedRun) => void b.closed.push({ ...run, pauses: run.pauses.slice() }),
});

const row = (timeS: number, currentA: number, psi = NaN): Row => ({
  timeS,
  currentA,
  pressurePa: psi * PSI,
});

/** Rest, so that off is known, then the rows. */
function track(rows: Row[], onChange = false): { state: TrackerState; b: Book } {
  const state = createTracker();
  const b = book();
  for (let t = -200; t < 0; t += 5) stepTracker(state, row(t, 0.03), sinkOf(b), { onChange });
  for (const r of rows) stepTracker(state, r, sinkOf(b), { onChange });
  return { state, b };
}

const on = (from: number, to: number, amps = 8) =>
  Array.from({ length: to - from }, (_, i) => row(from + i, amps));
const off = (from: number, to: number, stepS = 5) =>
  Array.from({ length: Math.ceil((to - from) / stepS) }, (_, i) => row(from + i * stepS, 0.03));

describe('runs from amps', () => {
  it('are bounded by the readings on both sides', () => {
    const { b } = track([...on(2, 60), ...off(60, 120)]);
    expect(b.closed.length).toBe(1);
    const [run] = b.closed;
    expect([run!.startFromS, run!.startToS]).toEqual([-5, 2]);
    expect([run!.stopFromS, run!.stopToS]).toEqual([59, 60]);
    expect([run!.begun, run!.ended, run!.foundBy, run!.breaks]).toEqual([
      'seen',
      'seen',
      'current',
      0,
    ]);
  });

  it('leave the inrush out of the mean, and keep it as the peak', () => {
    const { b } = track([row(0, 30), row(1, 20), ...on(2, 60), ...off(60, 120)]);
    const [run] = b.closed;
    expect(run!.peakA).toBe(30);
    expect(run!.chargeAs / run!.currentS).toBeCloseTo(8, 6);
  });

  it('less than five seconds apart are one, five and more are two', () => {
    const one = track([...on(0, 20), row(20, 0.03), ...on(22, 40), ...off(40, 80)]).b.closed;
    expect(one.length).toBe(1);
    expect(one[0]!.breaks).toBe(1);
    expect(one[0]!.pauses).toEqual([19.5, 22]);
    const two = track([...on(0, 20), row(20, 0.03), ...on(25, 40), ...off(40, 80)]).b.closed;
    expect(two.length).toBe(2);
    expect(two.map(({ breaks }) => breaks)).toEqual([0, 0]);
    expect(two[1]!.startFromS).toBe(20);
  });

  it('count every break, and keep the first 32 pauses', () => {
    const rows: Row[] = [];
    for (let t = 0; t < 200; t += 2) rows.push(row(t, 8), row(t + 1, 0.03));
    const { b } = track([...rows, ...off(201, 240)]);
    expect(b.closed[0]!.breaks).toBe(99);
    expect(b.closed[0]!.pauses.length).toBe(64);
  });

  it('that are on when the log begins, or after a gap, or at its end, say so', () => {
    const state = createTracker();
    const b = book();
    const sink = sinkOf(b);
    for (const r of [...on(0, 40), ...off(40, 100)]) stepTracker(state, r, sink);
    expect(b.closed[0]!.begun).toBe('log-start');
    for (const r of on(100, 130)) stepTracker(state, r, sink);
    currentGap(state, sink);
    expect(b.closed[1]!.ended).toBe('gap');
    expect(b.closed[1]!.stopToS).toBe(129);
    for (const r of on(900, 930)) stepTracker(state, r, sink);
    expect(b.opened[2]!.begun).toBe('gap');
    endTracker(state, 929, sink);
    expect(b.closed[2]!.ended).toBe('log-end');
    expect(b.closed[2]!.stopToS).toBe(929);
  });

  it('that went off just before the end of the log have ended', () => {
    const { state, b } = track([...on(0, 30), row(30, 0.03)]);
    endTracker(state, 30, sinkOf(b));
    expect(b.closed[0]!.ended).toBe('seen');
    expect([b.closed[0]!.stopFromS, b.closed[0]!.stopToS]).toEqual([29, 30]);
  });

  it('of a device that reports on change begin close before its first reading', () => {
    const rows = [row(300, 8), row(301, 8.2), row(340, 8.0), row(360, 0.03), row(420, 0.03)];
    const held = track(rows, true).b.closed[0]!;
    expect([held.startFromS, held.startToS]).toEqual([295, 300]);
    expect([held.stopFromS, held.stopToS]).toEqual([359, 360]);
    const fixed = track(rows, false).b.closed[0]!;
    expect(fixed.startFromS).toBe(-5);
    expect(fixed.stopFromS).toBe(340);
  });
});

const fill = (from: number, amps: number): Row[] => [
  ...Array.from({ length: 40 }, (_, i) => row(from + i * 5, 0.03, 50 - i / 4)),
  ...Array.from({ length: 60 }, (_, i) => row(from + 200 + i, amps, 40 + i / 3)),
  ...Array.from({ length: 30 }, (_, i) => row(from + 260 + i * 5, 0.03, 59 - i / 20)),
];

describe('runs from pressure', () => {
  it('are found where the amps say off, and say so', () => {
    const { b } = track([...fill(0, 8), ...fill(500, 0.03)]);
    expect(b.closed.map(({ foundBy }) => foundBy)).toEqual(['current', 'pressure']);
    expect(b.closed[1]!.currentSaidOff).toBe(true);
    expect(b.closed[1]!.startFromS).toBeLessThanOrEqual(700);
    expect(b.closed[1]!.startToS).toBeGreaterThanOrEqual(695);
    expect(b.closed[1]!.stopFromS).toBe(759);
    expect(b.closed[1]!.stopToS).toBe(760);
  });

  it('are found where there are no amps at all', () => {
    const state = createTracker();
    const b = book();
    for (const r of fill(0, 8)) stepTracker(state, { ...r, currentA: NaN }, sinkOf(b));
    expect(b.closed.length).toBe(1);
    expect(b.closed[0]!.foundBy).toBe('pressure');
  });

  it('are not found again where the amps have shown them', () => {
    const { b } = track([...fill(0, 8), ...fill(500, 8), ...fill(1000, 8)]);
    expect(b.closed.length).toBe(3);
    expect(b.closed.every(({ foundBy }) => foundBy === 'current')).toBe(true);
  });

  it('reach back to when pressure came to the cut-in, if heavy use held it there', () => {
    const held = [
      ...Array.from({ length: 40 }, (_, i) => row(500 + i * 5, 0.03, 50 - i / 4)),
      ...Array.from({ length: 30 }, (_, i) => row(700 + i, 0.03, 40.3 - (i % 3) / 10)),
      ...Array.from({ length: 60 }, (_, i) => row(730 + i, 0.03, 40 + i / 3)),
      ...Array.from({ length: 30 }, (_, i) => row(790 + i * 5, 0.03, 59 - i / 20)),
    ];
    const { b } = track([...fill(0, 8), ...held]);
    const run = b.closed[1]!;
    expect(run.foundBy).toBe('pressure');
    expect(run.startFromS).toBeGreaterThanOrEqual(675);
    expect(run.startFromS).toBeLessThanOrEqual(700);
    expect(run.startToS).toBeGreaterThan(725);
  });

  it('end with a gap of pressure', () => {
    const { state, b } = track(fill(0, 0.03).slice(0, 80));
    expect(pumpIsOn(state)).toBe(true);
    pressureGap(state, sinkOf(b));
    expect(b.closed[0]!.ended).toBe('gap');
    expect(pumpIsOn(state)).toBe(false);
  });
});

describe('any signal', () => {
  const signal = fc.record({
    spans: fc.array(fc.tuple(fc.integer({ min: 12, max: 200 }), fc.integer({ min: 8, max: 120 })), {
      minLength: 1,
      maxLength: 6,
    }),
    stepS: fc.integer({ min: 1, max: 4 }),
    phase: fc.integer({ min: 0, max: 3 }),
  });

  /** Rest and run in turn, and the true starts and stops. */
  function make({
    spans,
    stepS,
    phase,
  }: {
    spans: [number, number][];
    stepS: number;
    phase: number;
  }) {
    const truth: [number, number][] = [];
    let t = 0;
    for (const [rest, run] of spans) {
      truth.push([t + rest, t + rest + run]);
      t += rest + run;
    }
    const rows: Row[] = [];
    for (let s = phase; s < t + 60; s += stepS) {
      const running = truth.some(([a, z]) => s >= a && s < z);
      rows.push(row(s, running ? 8 : 0.03));
    }
    return { truth, rows };
  }

  it('has its starts and stops inside what is told of them, in order', () => {
    fc.assert(
      fc.property(signal, (asked) => {
        const { truth, rows } = make(asked);
        const { b } = track(rows);
        expect(b.closed.length).toBe(truth.length);
        b.closed.forEach((run, i) => {
          const [start, stop] = truth[i]!;
          expect(run.startFromS).toBeLessThan(start + 1e-9);
          expect(run.startToS).toBeGreaterThanOrEqual(start);
          expect(run.stopFromS).toBeLessThan(stop);
          expect(run.stopToS).toBeGreaterThanOrEqual(stop);
        });
      }),
      { numRuns: 60 },
    );
  });

  it('may be saved and restored anywhere', () => {
    fc.assert(
      fc.property(signal, fc.double({ min: 0, max: 1, noNaN: true }), (asked, share) => {
        const { rows } = make(asked);
        const whole = track(rows).b;
        const cut = Math.floor(share * rows.length);
        const first = track(rows.slice(0, cut));
        const state = decodeState<TrackerState>(encodeState(first.state));
        for (const r of rows.slice(cut)) stepTracker(state, r, sinkOf(first.b));
        expect(first.b).toEqual(whole);
      }),
      { numRuns: 40 },
    );
  });
});
