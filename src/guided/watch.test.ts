import { describe, expect, it } from 'vitest';
import { evenNumbers } from '../../test/support/numbers.ts';
import type { Watch } from './guides.ts';
import type { Sample, Trace } from './trace.ts';
import { type Known, seenOf } from './watch.ts';

const PSI_PA = 6894.757293168361;
const ATMOSPHERE_PSI = 14.696;

/** Pressure by Boyle's law of a tank charged to 38 psi, at 50 psi when water begins to leave. */
function drawn(volumeGal: number, gpm: number, forS: number, everyS: number): Sample[] {
  const constant = (38 + ATMOSPHERE_PSI) * volumeGal;
  const gasGal = constant / (50 + ATMOSPHERE_PSI);
  return Array.from({ length: Math.floor((300 + forS) / everyS) + 1 }, (_, i) => {
    const timeS = i * everyS;
    const outGal = (gpm * Math.max(0, timeS - 300)) / 60;
    return { timeS, value: (constant / (gasGal + outGal) - ATMOSPHERE_PSI) * PSI_PA };
  });
}

const steady = (psi: number, fromS: number, toS: number, everyS = 5): Sample[] =>
  Array.from({ length: Math.floor((toS - fromS) / everyS) + 1 }, (_, i) => ({
    timeS: fromS + i * everyS,
    value: psi * PSI_PA,
  }));
const amps = (a: number, fromS: number, toS: number) =>
  steady(a, fromS, toS).map(({ timeS }) => ({ timeS, value: a }));

const see = (watch: Watch, trace: Partial<Trace>, more: Partial<Known> = {}) => {
  const pressure = trace.pressure ?? [];
  const current = trace.current ?? [];
  const lastS = Math.max(pressure.at(-1)?.timeS ?? 0, current.at(-1)?.timeS ?? 0);
  const known = { fromS: 0, lastS, onA: 3, cutInPaGauge: 40 * PSI_PA, noisePa: 0, ...more };
  return seenOf(watch, { pressure, current }, known);
};
const REST: Watch = { kind: 'rest', forS: 300 };
const STILL: Watch = { kind: 'still', forS: 300 };

describe('a draw', () => {
  it('of two gallons a minute is seen in a tank of 120 gal within half a minute', () => {
    for (const everyS of [1, 5, 10])
      expect(see(STILL, { pressure: drawn(120, 2, 30, everyS) }).but).toBe('water-drawn');
    const seen = see({ kind: 'draw' }, { pressure: drawn(120, 2, 40, 5) }, { fromS: 295 });
    expect(seen.isOver).toBe(true);
    expect(Math.abs(seen.sinceS! - 300)).toBeLessThanOrEqual(10);
  });

  it('is none where a tenth of a gallon a minute leaks from a tank of 20 gal', () => {
    const pressure = drawn(20, 0.1, 600, 5);
    expect(see(STILL, { pressure })).toMatchObject({ isOver: true, but: null });
    expect(see(REST, { pressure })).toMatchObject({ isOver: true, but: null });
  });

  it('is none where the pressure is noisy', () => {
    const random = evenNumbers(7);
    const noisy = steady(50, 0, 3600).map(({ timeS, value }) => ({
      timeS,
      // Even between -0.35 and 0.35 psi: a standard deviation of 0.2 psi.
      value: value + (random() - 0.5) * 0.7 * PSI_PA,
    }));
    for (let end = 400; end < noisy.length; end += 7) {
      const seen = see(STILL, { pressure: noisy.slice(0, end) }, { noisePa: 0.2 * PSI_PA });
      expect(seen).toMatchObject({ isOver: true, but: null });
    }
  });

  it('ends when the water is shut off, and what settles counts from there', () => {
    const draw = drawn(40, 3, 120, 5);
    const last = draw.at(-1)!;
    const pressure = [...draw, ...steady(last.value / PSI_PA, last.timeS + 5, last.timeS + 200)];
    const seen = see(STILL, { pressure }, { fromS: 310 });
    expect(seen.but).toBeNull();
    expect(seen.sinceS! - last.timeS).toBeGreaterThanOrEqual(0);
    expect(seen.sinceS! - last.timeS).toBeLessThanOrEqual(30);
  });
});

describe('a rest', () => {
  it('counts from the stop of the pump, though the air cools after it', () => {
    const run = steady(45, 0, 100);
    const cools = steady(50, 105, 500).map(({ timeS, value }) => ({
      timeS,
      // A pound and a half, two thirds of it in the first forty seconds (common practice).
      value: value - 1.5 * PSI_PA * (1 - Math.exp(-(timeS - 100) / 40)),
    }));
    const trace = {
      pressure: [...run, ...cools],
      current: [...amps(9, 0, 100), ...amps(0, 105, 500)],
    };
    expect(see(REST, trace)).toMatchObject({ isOver: true, sinceS: 100, has: 300 });
    const sooner = { pressure: trace.pressure.slice(0, 60), current: trace.current.slice(0, 60) };
    expect(see(REST, sooner)).toMatchObject({ isOver: false, has: 195, but: null });
  });

  it('waits while the pump runs, and a device that is silent rests for nothing', () => {
    const trace = { pressure: steady(45, 0, 900), current: amps(9, 0, 900) };
    expect(see(REST, trace)).toMatchObject({ isOver: false, has: 0, but: 'pump-runs' });
    expect(see(REST, {}, { lastS: NaN })).toMatchObject({ isOver: false });
  });
});

describe('the tank that is filled again', () => {
  const FULL: Watch = { kind: 'full-again' };
  const rising = (fromS: number, toS: number) =>
    steady(0, fromS, toS).map(({ timeS }) => ({
      timeS,
      value: (35 + (20 * (timeS - fromS)) / (toS - fromS)) * PSI_PA,
    }));

  it('is seen by the current, and by the pressure alone', () => {
    const pressure = [...steady(35, 0, 100), ...rising(105, 205), ...steady(55, 210, 400)];
    const current = [...amps(0, 0, 100), ...amps(9, 105, 205), ...amps(0, 210, 400)];
    expect(see(FULL, { pressure, current }, { fromS: 50 })).toMatchObject({ isOver: true });
    expect(see(FULL, { pressure }, { fromS: 50, onA: NaN })).toMatchObject({ isOver: true });
    const half = { pressure: pressure.slice(0, 30), current: current.slice(0, 30) };
    expect(see(FULL, half, { fromS: 50 })).toMatchObject({ isOver: false, but: 'pump-runs' });
  });

  it('says why the pump may wait, and that it does not start where it should', () => {
    const current = amps(0, 0, 300);
    const above = { pressure: steady(45, 0, 300), current };
    expect(see(FULL, above)).toMatchObject({ isOver: false, but: 'above-cut-in' });
    const below = { pressure: steady(30, 0, 300), current };
    expect(see(FULL, below)).toMatchObject({ isOver: false, but: 'pump-does-not-start' });
    expect(see(FULL, below, { fromS: 280 })).toMatchObject({ isOver: false, but: null });
  });
});

describe('other steps', () => {
  it('an empty tank, though the sensor is off by a little', () => {
    expect(see({ kind: 'empty' }, { pressure: steady(1, 0, 30) }).isOver).toBe(true);
    expect(see({ kind: 'empty' }, { pressure: steady(4, 0, 120) }).isOver).toBe(true);
    expect(see({ kind: 'empty' }, { pressure: steady(20, 0, 120) }).isOver).toBe(false);
  });

  it('fills are counted, a run is timed, and nothing is seen of what is done by hand', () => {
    const current = [0, 1, 2].flatMap((k) => [
      ...amps(9, 200 * k, 200 * k + 95),
      ...amps(0, 200 * k + 100, 200 * k + 195),
    ]);
    expect(see({ kind: 'fills', times: 3 }, { current })).toMatchObject({ isOver: true, has: 3 });
    expect(see({ kind: 'fills', times: 3 }, { current }, { fromS: 150 })).toMatchObject({ has: 2 });
    expect(see({ kind: 'runs', forS: 60 }, { current: amps(9, 0, 70) }).isOver).toBe(true);
    expect(see({ kind: 'hand' }, { current }).isOver).toBe(false);
  });
});
