import { CalibrationStage } from '../analysis/calibration/calibration.ts';
import { CHANNELS } from '../model/reading.ts';
import type { Well } from '../model/well.ts';
import type { ReadingStore } from '../ports/reading-store.ts';

const PRESSURE = CHANNELS.indexOf('pressure');
const CURRENT = CHANNELS.indexOf('current');

export interface Sample {
  timeS: number;
  value: number;
}

/** What the readings show while somebody is at it: Pa gauge, A, in order of time. */
export interface Trace {
  pressure: Sample[];
  current: Sample[];
}

/** Readings of a span as they were kept, through the calibration in force. */
export async function traceOf(
  store: Pick<ReadingStore, 'readings'>,
  well: Well,
  span: { fromS: number; toS: number },
): Promise<Trace> {
  const trace: Trace = { pressure: [], current: [] };
  const calibration = new CalibrationStage(well.calibrations);
  const sink = {
    reading: (timeS: number, channel: number, value: number) => {
      if (channel === PRESSURE) trace.pressure.push({ timeS, value });
      else if (channel === CURRENT) trace.current.push({ timeS, value });
    },
    noCalibration: () => undefined,
  };
  for await (const batch of store.readings(well.id, span.fromS, span.toS))
    for (let i = 0; i < batch.count; i++)
      calibration.step(batch.timeS[i]!, batch.channel[i]!, batch.value[i]!, sink);
  return trace;
}

/** Not more than so many samples, each one that was: for a trace that is kept. */
export function thinned(samples: readonly Sample[], most: number): Sample[] {
  const step = Math.max(1, Math.ceil(samples.length / most));
  return samples.filter((_, i) => i % step === 0 || i === samples.length - 1);
}
