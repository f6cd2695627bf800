import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Bench, Board } from './board.ts';
import { Link } from './link.ts';

const AMPS_PER_V = 30;
const QUIET: Bench = {
  mains_hz: 60,
  sample_us: 300,
  middle_v: 1.65,
  clip_low_v: 0,
  clip_high_v: 3.3,
  noise_v: 0,
  third_share: 0,
  fifth_share: 0,
  hum_v: 0,
  runs: [[0, 1e9, 8]],
  pressures: [[0, 1.4]],
};

let link: Link;
let board: Board;
beforeAll(async () => {
  link = await Link.open();
  board = await Board.on(link);
});
afterAll(() => link.close());

/**
 * Means over a second, as a reading has them, and the greatest RMS of a half cycle: all in V. The
 * first 5 turns find the middle voltage.
 */
function measured(bench: Bench): { pressureV: number; currentV: number; peakV: number } {
  for (const [name, value] of Object.entries({ ...QUIET, ...bench }))
    board.run(`board.${name} = ${JSON.stringify(value)}`);
  board.run(`main.HALVES = ${(bench.mains_hz as number) < 55 ? 10 : 12}`);
  board.run('for _ in range(5): sender.meter.turn()');
  board.run('turns = [sender.meter.turn() for _ in range(10)]');
  const [pressureV, square, peakV] = board.ask<[number, number, number]>(
    '[sum(t[0] for t in turns) / 10, sum(t[1] ** 2 for t in turns) / 10,' +
      ' max(max(t[2]) for t in turns)]',
  );
  return { pressureV, currentV: Math.sqrt(square), peakV };
}

/** RMS of a sine cut off at `cut`; derived: the integral of sin^2 up to asin(cut / peak). */
function clippedRms(peak: number, cut: number): number {
  const angle = Math.asin(cut / peak);
  const below = peak ** 2 * (angle / 2 - Math.sin(2 * angle) / 4);
  return Math.sqrt((2 / Math.PI) * (below + cut ** 2 * (Math.PI / 2 - angle)));
}

describe('the RMS of a wave, against its integral', () => {
  const sineV = 8 / AMPS_PER_V;
  it.each([
    [50, 100],
    [60, 100],
    [49.5, 300],
    [60.6, 300],
    [50, 300],
    [60, 500],
    [60, 1000],
  ])('a sine of %f Hz, a sample in %i us', (hz, us) => {
    const { currentV, peakV } = measured({ mains_hz: hz, sample_us: us });
    expect(Math.abs(currentV / sineV - 1)).toBeLessThan(0.003);
    // One sample more or less in a half cycle.
    expect(Math.abs(peakV / sineV - 1)).toBeLessThan(0.005 + us / 10_000);
  });
  it.each([50, 60])('harmonics count at %i Hz: sqrt(1 + 0.3^2 + 0.15^2)', (hz) => {
    // The squares of harmonics add (Parseval), whatever their phases: derived.
    const { currentV } = measured({ mains_hz: hz, third_share: 0.3, fifth_share: 0.15 });
    expect(Math.abs(currentV / (sineV * Math.hypot(1, 0.3, 0.15)) - 1)).toBeLessThan(0.003);
    // A mean of the rectified wave times 1.11 would be off by several percent.
    expect(Math.hypot(1, 0.3, 0.15)).toBeGreaterThan(1.05);
  });
  it('a wave clipped by the converter', () => {
    const { currentV } = measured({ clip_low_v: 1.4, clip_high_v: 1.9 });
    const expected = clippedRms(sineV * Math.SQRT2, 0.25);
    expect(expected).toBeLessThan(0.9 * sineV);
    expect(Math.abs(currentV / expected - 1)).toBeLessThan(0.004);
  });
  it('noise adds by its squares', () => {
    const { currentV } = measured({ noise_v: 0.01 });
    expect(Math.abs(currentV / Math.hypot(sineV, 0.01) - 1)).toBeLessThan(0.003);
  });
  it.each([1.2, 1.65, 2.1])('a zero at %f V is found and left out', (middle) => {
    const { currentV } = measured({ middle_v: middle });
    expect(Math.abs(currentV / sineV - 1)).toBeLessThan(0.003);
  });
  it('without a load only the noise is left', () => {
    const { currentV, peakV } = measured({ runs: [], noise_v: 0.004 });
    expect(Math.abs(currentV / 0.004 - 1)).toBeLessThan(0.05);
    expect(peakV * AMPS_PER_V).toBeLessThan(0.25);
  });
  it('from 0.6 A to 34 A', () => {
    for (const amps of [0.6, 2, 34]) {
      const { currentV } = measured({ runs: [[0, 1e9, amps]] });
      expect(Math.abs(currentV / (amps / AMPS_PER_V) - 1), `${amps} A`).toBeLessThan(0.004);
    }
  });
});

describe('the pressure', () => {
  it.each([50, 60])('is a mean over whole cycles: hum of %i Hz leaves less than 1 mV', (hz) => {
    const { pressureV } = measured({ mains_hz: hz, hum_v: 0.1 });
    expect(Math.abs(pressureV - 1.4)).toBeLessThan(0.001);
  });
});
