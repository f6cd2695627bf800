import { describe, expect, it } from 'vitest';
import type { RunEntry } from '../model/study.ts';
import { normalOf, traceOf, valueAt, wholeRunsBefore } from './normal-run.ts';

const run = (hour: number, more: Partial<RunEntry> = {}): RunEntry => ({
  start: `2026-04-06T${String(hour).padStart(2, '0')}:00:00.000Z`,
  startStdS: 1,
  stop: `2026-04-06T${String(hour).padStart(2, '0')}:02:00.000Z`,
  stopStdS: 1,
  begun: 'cut-in',
  ended: 'cut-out',
  breaks: 0,
  foundBy: 'current',
  cutInPaGauge: 2e5,
  cutOutPaGauge: 3.5e5,
  meanCurrentA: 8,
  pumpedM3: 0.08,
  pumpedM3Std: 0.004,
  ...more,
});

describe('the normal run', () => {
  it('is made of whole runs before the one looked at, the latest', () => {
    const runs = [
      run(1),
      run(2, { ended: 'tripped' }),
      run(3),
      run(4, { breaks: 1 }),
      run(5),
      run(6),
    ];
    expect(wholeRunsBefore(runs, runs[5]!, 2)).toEqual([runs[2], runs[4]]);
    expect(wholeRunsBefore(runs, runs[0]!, 2)).toEqual([]);
  });
  it('lies between what most runs were, and is none where few were', () => {
    const traces = Array.from({ length: 11 }, (_, i) => [
      { atS: 0, value: i },
      { atS: 10, value: i + 10 },
    ]);
    const [at] = normalOf(traces, [5]);
    expect(at).toEqual({ atS: 5, low: 6, middle: 10, high: 14 });
    expect(normalOf(traces, [11])).toEqual([]);
    expect(normalOf(traces.slice(0, 3), [5])).toEqual([]);
  });
  it('a current keeps its value until it is told again, a pressure goes by the line', () => {
    const stretch = (atS: number, mean: number) => ({
      ...{ fromS: atS, toS: atS, least: mean, greatest: mean, mean },
    });
    const told = [stretch(100, 0), stretch(110, 8), stretch(200, 0)];
    expect(valueAt(traceOf(told, 100, true), 50)).toBe(8);
    expect(valueAt(traceOf(told, 100, true), 9)).toBe(0);
    expect(valueAt(traceOf(told, 100, false), 5)).toBe(4);
    expect(valueAt(traceOf(told, 100, false), 101)).toBeNaN();
  });
});
