import { describe, expect, it } from 'vitest';
import { normalNumbers } from '../../../test/support/numbers.ts';
import { decodeState, encodeState } from '../../base/snapshot.ts';
import { createBaseline } from './baseline.ts';
import { MEASURES, type Sample } from './measures.ts';
import {
  createSlowChange,
  type SlowChange,
  sinceOf,
  slowShifts,
  stepSlowChange,
} from './slow-change.ts';

const DAY_S = 86_400;
const RUNS = 8;

function learnt() {
  const base = createBaseline();
  base.learnt = true;
  for (const m of ['delivery', 'amps'] as const) {
    base.centre[m] = 2;
    base.scatter[m] = m === 'delivery' ? 0.03 : 0.008;
  }
  return base;
}
const base = learnt();

function live(
  state: SlowChange,
  days: { from: number; to: number },
  delivery: (day: number) => number,
  normal = normalNumbers(7),
): void {
  for (let day = days.from; day < days.to; day++)
    for (let run = 0; run < RUNS; run++) {
      const sample = Object.fromEntries(MEASURES.map((m) => [m, NaN])) as Sample;
      sample.delivery = 2 + delivery(day) + 0.03 * normal();
      sample.amps = 2 + 0.008 * normal();
      stepSlowChange(state, sample, (day + run / RUNS) * DAY_S, base);
    }
}

describe('slow change', () => {
  it('is not found in five years of a sound well, however its days differ', () => {
    const state = createSlowChange();
    const normal = normalNumbers(7);
    for (let day = 0; day < 5 * 365; day++) {
      const off = 0.014 * normal();
      live(state, { from: day, to: day + 1 }, () => off, normal);
      expect(slowShifts(state, base), `day ${day}`).toEqual({});
    }
  });

  it('is found with its size and the day it began', () => {
    const state = createSlowChange();
    live(state, { from: 0, to: 100 }, (day) => (day < 60 ? 0 : -0.05));
    const shift = slowShifts(state, base).delivery!;
    expect(Math.abs(shift.value + 0.05)).toBeLessThan(0.01);
    expect(shift.std).toBeLessThan(0.025);
    expect(Math.abs(shift.sinceS / DAY_S - 60)).toBeLessThanOrEqual(3);
    expect(slowShifts(state, base).amps).toBeUndefined();
  });

  it('is found upward, too, and in a creep', () => {
    const state = createSlowChange();
    live(state, { from: 0, to: 120 }, (day) => Math.max(0, (day - 40) * 0.001));
    const shift = slowShifts(state, base).delivery!;
    expect(shift.value).toBeGreaterThan(0.02);
    expect(shift.sinceS / DAY_S).toBeGreaterThan(40);
  });

  it('is found in a house that runs its pump once a day, from the days together', () => {
    const state = createSlowChange();
    const normal = normalNumbers(7);
    for (let day = 0; day < 120; day++) {
      const sample = Object.fromEntries(MEASURES.map((m) => [m, NaN])) as Sample;
      sample.delivery = 2 + (day < 60 ? 0 : -0.1) + 0.03 * normal();
      stepSlowChange(state, sample, day * DAY_S, base);
      if (day < 60) expect(slowShifts(state, base), `day ${day}`).toEqual({});
    }
    const shift = slowShifts(state, base).delivery!;
    expect(Math.abs(shift.value + 0.1)).toBeLessThan(0.02);
    expect(Math.abs(shift.sinceS / DAY_S - 60)).toBeLessThanOrEqual(6);
  });

  it('did not begin with a run of months ago', () => {
    const state = createSlowChange();
    const sample = (delivery: number) =>
      ({ ...Object.fromEntries(MEASURES.map((m) => [m, NaN])), delivery }) as Sample;
    stepSlowChange(state, sample(2), 30 * DAY_S, base);
    for (let run = 0; run < 40; run++)
      stepSlowChange(state, sample(1.85), (90 + run / 4) * DAY_S, base);
    expect(slowShifts(state, base).delivery!.sinceS / DAY_S).toBe(90);
  });

  it('stands where the last days stand, not at the mean of its creep', () => {
    const state = createSlowChange();
    live(state, { from: 0, to: 140 }, (day) => Math.min(0, -0.002 * (day - 40)));
    expect(slowShifts(state, base).delivery!.value).toBeLessThan(-0.17);
  });

  it('that is repaired is gone within a week', () => {
    const state = createSlowChange();
    live(state, { from: 0, to: 100 }, (day) => (day < 40 ? 0 : -0.06));
    expect(slowShifts(state, base).delivery).toBeDefined();
    live(state, { from: 100, to: 107 }, () => 0);
    expect(slowShifts(state, base)).toEqual({});
  });

  it('is not one strange day, nor what came before a baseline stands', () => {
    const state = createSlowChange();
    live(state, { from: 0, to: 40 }, (day) => (day === 20 ? -1 : 0));
    expect(slowShifts(state, base)).toEqual({});
    stepSlowChange(state, {} as Sample, 50 * DAY_S, createBaseline());
    expect(state.day).toBe(39);
  });

  it('goes on from a snapshot as without it', () => {
    const one = createSlowChange();
    live(one, { from: 0, to: 50 }, () => -0.04);
    const other = decodeState(encodeState(one)) as SlowChange;
    for (const state of [one, other]) live(state, { from: 50, to: 90 }, () => -0.04);
    expect(slowShifts(other, base)).toEqual(slowShifts(one, base));
    expect(slowShifts(one, base).delivery).toBeDefined();
  });

  it('begins on a day, and at the hour at which runs spoke of it that day or before', () => {
    const dayS = 20_000 * 86_400;
    expect(sinceOf({ runsS: dayS + 20 * 3600, dayS })).toBe(dayS + 20 * 3600);
    expect(sinceOf({ runsS: dayS + 30 * 3600, dayS })).toBe(dayS);
    expect(sinceOf({ runsS: dayS - 3600, dayS })).toBe(dayS - 3600);
    expect(sinceOf({ runsS: dayS, dayS: Infinity })).toBe(dayS);
  });
});
