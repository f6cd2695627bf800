import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Bench, Board } from './board.ts';
import { Link } from './link.ts';

const AMPS_PER_V = 30;
const QUIET: Bench = {
  mains_hz: 60,
  sample_us: 500,
  middle_v: 1.65,
  clip_low_v: 0,
  clip_high_v: 3.3,
  noise_v: 0,
  third_share: 0,
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

/** Pressure [V], current [V] and the greatest RMS of a cycle [V]: means of 20 blocks, 5 unread. */
function measured(bench: Bench): { pressureV: number; currentV: number; cycleV: number } {
  for (const [name, value] of Object.entries({ ...QUIET, ...bench }))
    board.run(`board.${name} = ${JSON.stringify(value)}`);
  board.run('for _ in range(5): sender.meter.block()');
  board.run('blocks = [sender.meter.block() for _ in range(20)]');
  const [pressureV, currentV, cycleV] = board.ask<[number, number, number]>(
    '[sum(b[0] for b in blocks) / 20, sum(b[1] for b in blocks) / 20,' +
      ' max([r for b in blocks for _, r in b[2]] or [0])]',
  );
  return { pressureV, currentV, cycleV };
}

/** RMS of a sine of this peak cut off at `cut`: the integral of sin^2 up to asin(cut / peak). */
function clippedRms(peak: number, cut: number): number {
  const angle = Math.asin(cut / peak);
  const below = peak ** 2 * (angle / 2 - Math.sin(2 * angle) / 4);
  return Math.sqrt((2 / Math.PI) * (below + cut ** 2 * (Math.PI / 2 - angle)));
}

describe('the RMS of a wave, against its integral', () => {
  const sineV = 8 / AMPS_PER_V;
  it.each([
    [50, 500],
    [60, 500],
    [49.5, 500],
    [60.6, 500],
    [50, 190],
    [60, 190],
    [60, 1000],
  ])('a sine of %f Hz, a sample in %i us: 0.2 percent, each cycle 2', (hz, us) => {
    const { currentV, cycleV } = measured({ mains_hz: hz, sample_us: us });
    expect(Math.abs(currentV / sineV - 1)).toBeLessThan(0.002);
    expect(Math.abs(cycleV / sineV - 1)).toBeLessThan(0.02);
  });
  it.each([50, 60])('harmonics count at %i Hz: sqrt(1 + 0.3^2)', (hz) => {
    const { currentV } = measured({ mains_hz: hz, third_share: 0.3 });
    expect(Math.abs(currentV / (sineV * Math.hypot(1, 0.3)) - 1)).toBeLessThan(0.003);
  });
  it('a wave clipped by the converter', () => {
    const { currentV } = measured({ clip_low_v: 1.4, clip_high_v: 1.9 });
    const expected = clippedRms(sineV * Math.SQRT2, 0.25);
    expect(expected).toBeLessThan(0.9 * sineV);
    expect(Math.abs(currentV / expected - 1)).toBeLessThan(0.004);
  });
  it('noise adds in squares, and makes no cycles of its own', () => {
    const { currentV, cycleV } = measured({ noise_v: 0.01 });
    expect(Math.abs(currentV / Math.hypot(sineV, 0.01) - 1)).toBeLessThan(0.003);
    expect(cycleV / sineV).toBeLessThan(1.04);
  });
  it.each([1.2, 1.65, 2.1])('a zero at %f V is found and left out', (middle) => {
    const { currentV } = measured({ middle_v: middle });
    expect(Math.abs(currentV / sineV - 1)).toBeLessThan(0.002);
  });
  it('without a load only the noise is left', () => {
    const { currentV, cycleV } = measured({ runs: [], noise_v: 0.004 });
    expect(Math.abs(currentV / 0.004 - 1)).toBeLessThan(0.05);
    expect(cycleV).toBe(0);
  });
  it('from 0.6 A to 34 A', () => {
    for (const amps of [0.6, 2, 34]) {
      const { currentV } = measured({ runs: [[0, 1e9, amps]] });
      expect(Math.abs(currentV / (amps / AMPS_PER_V) - 1), `${amps} A`).toBeLessThan(0.004);
    }
  });
});

describe('the pressure', () => {
  it.each([50, 60])('is a mean over whole cycles: hum of %i Hz leaves less than 2 mV', (hz) => {
    const { pressureV } = measured({ mains_hz: hz, hum_v: 0.1 });
    expect(Math.abs(pressureV - 1.4)).toBeLessThan(0.002);
  });
});
