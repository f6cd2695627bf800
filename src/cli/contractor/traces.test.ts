import { expect, it } from 'vitest';
import { runOf, wellOf } from '../../../test/study-fixture.ts';
import { CHANNELS, type ReadingBatch } from '../../model/reading.ts';
import { Traces } from './traces.ts';

const START_S = Date.UTC(2026, 3, 6) / 1000;
const at = (s: number) => new Date((START_S + s) * 1000).toISOString();
const run = (fromS: number, toS: number) => runOf({ start: at(fromS), stop: at(toS) });

/** A reading a second of one channel, as the store gives a span. */
function readings(channel: (typeof CHANNELS)[number], fromS: number, toS: number): ReadingBatch {
  const count = toS - fromS;
  return {
    count,
    timeS: Float64Array.from({ length: count }, (_, i) => fromS + i),
    channel: new Uint8Array(count).fill(CHANNELS.indexOf(channel)),
    value: Float64Array.from({ length: count }, (_, i) => i),
  };
}

it('asks for each reading once although runs follow each other closely', () => {
  const runs = [run(1000, 1020), run(1060, 1080), run(9000, 9020)];
  const traces = new Traces(wellOf(), runs);
  const { spans } = traces;
  expect(spans.map(({ fromS, toS }) => [fromS - START_S, toS - START_S])).toEqual([
    [850, 1086],
    [8850, 9026],
  ]);
  for (const { fromS, toS } of spans) traces.take(readings('pressure', fromS, toS));
  const { now, past } = traces.overlaid(runs[1]!);
  expect(now?.run).toBe(runs[1]);
  expect(past.map((trace) => trace.run)).toEqual([runs[0], runs[2]]);
  for (const { pressure } of [now!, ...past]) {
    const times = pressure.map(({ atS }) => atS);
    expect(new Set(times).size).toBe(times.length);
    expect(times[0]).toBe(-150);
  }
  // 60 s later in the same readings.
  expect(now?.pressure.find(({ atS }) => atS === 0)?.value).toBe(210);
  expect(past[0]?.pressure.find(({ atS }) => atS === 0)?.value).toBe(150);
});

it('takes raw readings by the calibration in force', () => {
  const points = [
    { raw: 0, reference: 0, referenceStd: 1 },
    { raw: 100, reference: 1000, referenceStd: 1 },
  ];
  const calibration = { sensor: null, fromS: 0, untilS: null, raw: 'V' as const, points };
  const well = wellOf({ calibrations: [{ ...calibration, channel: 'pressure' }] });
  const traces = new Traces(well, [run(1000, 1020)]);
  const [span] = traces.spans;
  traces.take(readings('pressure-raw', span!.fromS, span!.toS));
  traces.take(readings('current-raw', span!.fromS, span!.toS));
  const [trace] = traces.overlaid(null).past;
  expect(trace?.pressure[20]?.value).toBeCloseTo(200, 6);
  expect(trace?.current).toEqual([]);
});
