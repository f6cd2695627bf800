import { describe, expect, it } from 'vitest';
import { PSI_PA } from '../../units/table.ts';
import { sampleOf } from './measures.ts';
import type { RunRecord } from './run-record.ts';

const RUN: RunRecord = {
  startS: 1e6,
  stopS: 1e6 + 90,
  restS: 3600,
  begun: 'cut-in',
  ended: 'cut-out',
  cutOutMet: true,
  byPressure: false,
  breaks: 0,
  cutInPa: 40 * PSI_PA,
  cutOutPa: 60 * PSI_PA,
  cutInDoubtPa: 0,
  lowPa: 39 * PSI_PA,
  deadS: 1,
  gapS: 1,
  readings: 90,
  everyS: 1,
  meanA: 8,
  meanX: 0,
  slopeA: -0.3,
  highA: 12,
  peakA: 40,
  nightDraws: 0,
  duty: 0.02,
  flowingS: 300,
  startTimeS: NaN,
  mainsV: NaN,
  jitterA: 0.02,
  leap: 0.01,
  wigglePa: 500,
  ratePerMin: 10,
  earlyShare: 1,
  lateShare: 1,
  soonPa: 5000,
  rest: { spikes: 0, readings: 100, steepest: 3, lossPerMin: 0 },
};
const sample = (run: Partial<RunRecord>, hasAmps = true) =>
  sampleOf({ ...RUN, ...run }, { a0: 8, a1: -0.3 }, 10, hasAmps);

describe('what a run says', () => {
  it('where pressure alone has shown it is of the water, of all where no amps come', () => {
    const shown = { byPressure: true, meanA: NaN };
    expect(sample(shown)).toMatchObject({
      'cut-in': NaN,
      'run-length': NaN,
      loss: 0,
      flowing: 300,
    });
    expect(sample(shown, false)).toMatchObject({ 'cut-in': 40 * PSI_PA, amps: NaN, loss: 0 });
    expect(sample(shown, false)['run-length']).toBeGreaterThan(0);
  });
  it('of the switch is nothing where it started soon after a stop, far above cut-in', () => {
    const again = { begun: 'other', restS: 110, cutInPa: 52 * PSI_PA } as const;
    expect(sample({})).toMatchObject({ 'cut-in': 40 * PSI_PA, restarts: 0 });
    expect(sample(again)).toMatchObject({ 'cut-in': NaN, dip: NaN, restarts: 1 });
    // Where pressure fell fast the start lies somewhere below the last reading.
    expect(sample({ ...again, cutInDoubtPa: 8 * PSI_PA }).restarts).toBeNaN();
    expect(sample({ ...again, restS: 2000 })).toMatchObject({ restarts: 0 });
  });
  it('of its peak is what the device tells between readings, or nothing', () => {
    expect(sample({}).peak).toBeCloseTo(Math.log(40), 9);
    expect(sample({ peakA: NaN }).peak).toBeNaN();
  });
  it('of water that flows is no more than two days', () => {
    expect(sample({}).flowing).toBe(300);
    expect(sample({ flowingS: 1e7 }).flowing).toBe(172_800);
  });
});
