import { describe, expect, it } from 'vitest';
import { CHANNELS } from '../../model/reading.ts';
import type { CalibrationRecord } from '../../model/well.ts';
import { createCalibration } from './calibration.ts';
import { withRawLimits } from './raw-limits.ts';

const RAW = CHANNELS.indexOf('pressure-raw');
const PSI = 6894.757293168361;

/** The example of the well file: 0.503 V at 0 psi, 2.10 V at 40 psi. */
const first: CalibrationRecord = {
  channel: 'pressure',
  sensor: 'tee-1',
  fromS: 1000,
  untilS: null,
  raw: 'V',
  points: [
    { raw: 0.503, reference: 0, referenceStd: 0.3 * PSI },
    { raw: 2.1, reference: 40 * PSI, referenceStd: 0.5 * PSI },
  ],
};
const shifted: CalibrationRecord = {
  ...first,
  fromS: 2000,
  points: first.points.map((point) => ({ ...point, raw: point.raw + 0.1 })),
};

function through(records: CalibrationRecord[], rows: [number, number, number][]) {
  const readings: [number, number, number][] = [];
  const refused: [number, number][] = [];
  const stage = createCalibration(records);
  for (const [timeS, channel, value] of rows) {
    stage.step(timeS, channel, value, {
      reading: (t, c, v) => readings.push([t, c, v]),
      noCalibration: (t, c) => refused.push([t, c]),
    });
  }
  return { readings, refused, stage };
}

describe('CalibrationStage', () => {
  it('uses the calibration in force at the time of the reading, whatever the order', () => {
    const { readings, refused } = through(
      [shifted, first],
      [
        [999, RAW, 0.503],
        [1000, RAW, 0.503],
        [1999, RAW, 2.1],
        [2000, RAW, 2.2],
      ],
    );
    expect(refused).toEqual([[999, RAW]]);
    expect(readings.map(([t, c]) => [t, c])).toEqual([
      [1000, 0],
      [1999, 0],
      [2000, 0],
    ]);
    expect(readings[0]![2]).toBeCloseTo(0, 6);
    expect(readings[1]![2] / PSI).toBeCloseTo(40, 9);
    expect(readings[2]![2] / PSI).toBeCloseTo(40, 9);
  });

  it('does not let a new sensor inherit: readings wait for a calibration of its own', () => {
    const replaced = { ...first, untilS: 1500 };
    const own = { ...shifted, sensor: 'tee-2' };
    const rows = [1499, 1500, 1999, 2000].map((t): [number, number, number] => [t, RAW, 2.2]);
    const { readings, refused, stage } = through([replaced, own], rows);
    expect(readings.map(([t]) => t)).toEqual([1499, 2000]);
    expect(refused.map(([t]) => t)).toEqual([1500, 1999]);
    expect(readings[1]![2] / PSI).toBeCloseTo(40, 9);
    expect(stage.told()).toHaveLength(1);
    expect(stage.told()[0]).toMatch(
      /00:16:40.* \(tee-1\) ended on .*00:25:00.* with its sensor: the new one/,
    );
    expect(stage.standingStd(0, 1700, 40 * PSI)).toBeNaN();
  });

  it('says nothing where the new sensor has its own from the start', () => {
    const replaced = { ...first, untilS: 2000 };
    expect(through([replaced, shifted], []).stage.told()).toEqual([]);
  });

  it('mends the past by a calibration that comes later and begins earlier', () => {
    const rows: [number, number, number][] = [[1700, RAW, 2.2]];
    const before = through([first], rows).readings[0]![2];
    const after = through([first, { ...shifted, fromS: 1600 }], rows).readings[0]![2];
    expect(before / PSI).toBeGreaterThan(42);
    expect(after / PSI).toBeCloseTo(40, 9);
  });

  it('keeps the limits of a sensor that was replaced for the readings it gave', () => {
    const current: CalibrationRecord = {
      ...first,
      channel: 'current',
      untilS: 1500,
      points: [
        { raw: 0, reference: 0, referenceStd: 0.1 },
        { raw: 1, reference: 20, referenceStd: 0.1 },
      ],
    };
    const config = {
      lowest: CHANNELS.map(() => -1),
      highest: CHANNELS.map(() => 100),
      runningAboveA: 2,
      runningAboveRaw: null,
      policy: null,
      longestSilenceS: null,
    };
    const limited = withRawLimits(config, [current]);
    expect(limited.runningAboveRaw).toBeCloseTo(0.1, 12);
    expect(limited.highest[CHANNELS.indexOf('current-raw')]).toBeCloseTo(5, 12);
  });

  it('lets readings in Pa and A pass untouched', () => {
    const { readings } = through(
      [first],
      [
        [1, 0, 400_000.125],
        [1, 1, 7.9],
      ],
    );
    expect(readings).toEqual([
      [1, 0, 400_000.125],
      [1, 1, 7.9],
    ]);
  });

  it('gives the reference uncertainty at the points and more beyond them', () => {
    const { stage } = through([first], []);
    expect(stage.standingStd(0, 1500, 0) / PSI).toBeCloseTo(0.3, 9);
    expect(stage.standingStd(0, 1500, 40 * PSI) / PSI).toBeCloseTo(0.5, 9);
    expect(stage.standingStd(0, 1500, 80 * PSI) / PSI).toBeGreaterThan(1);
    expect(stage.standingStd(0, 10, 0)).toBeNaN();
    expect(stage.standingStd(1, 1500, 5)).toBeNaN();
  });

  it('refuses one point, points at one raw value, and a flat line, and says so', () => {
    const [point] = first.points;
    for (const points of [[], [point!], [point!, { ...point!, reference: 9 }]]) {
      const { refused, readings, stage } = through([{ ...first, points }], [[1500, RAW, 1]]);
      expect(refused).toEqual([[1500, RAW]]);
      expect(readings).toEqual([]);
      expect(stage.told()[0]).toMatch(/^the calibration of pressure from 1970.* is not used: /);
    }
    const flat = first.points.map((one) => ({ ...one, reference: 5 }));
    expect(through([{ ...first, points: flat }], []).stage.told()).toHaveLength(1);
  });

  it('turns the limits of pressure into limits of the raw channel', () => {
    const config = {
      lowest: CHANNELS.map(() => -2 * PSI),
      highest: CHANNELS.map(() => 150 * PSI),
      runningAboveA: 1,
      runningAboveRaw: null,
      policy: null,
      longestSilenceS: null,
    };
    const limited = withRawLimits(config, [first, shifted]);
    const perPsi = (2.1 - 0.503) / 40;
    expect(limited.lowest[RAW]).toBeCloseTo(0.503 - 2 * perPsi, 9);
    expect(limited.highest[RAW]).toBeCloseTo(0.603 + 150 * perPsi, 9);
    expect(limited.lowest[0]).toBe(-2 * PSI);
  });
});
