import type { SamplingOfChannel } from '../analysis/signal/sampling.ts';
import { CHANNELS, type Channel } from '../model/reading.ts';
import type { Pipeline } from './pipeline.ts';

const RAW = { pressure: 'pressure-raw', current: 'current-raw' } as const;

/** Channels that readings of use came on; volts or counts that were calibrated are of theirs. */
export function channelsUsed(pipeline: Pick<Pipeline, 'used'>): Channel[] {
  const used = pipeline.used();
  const has = (name: Channel) => used[CHANNELS.indexOf(name)]! > 0;
  return CHANNELS.filter(
    (name) => has(name) || ((name === 'pressure' || name === 'current') && has(RAW[name])),
  );
}

/**
 * How often pressure or current comes, as it is or as volts or counts; null before it has. Of a
 * device that has sent both, the raw one: a calibration is written for what is sent now.
 */
export function samplingOf(
  { signal }: Pick<Pipeline, 'signal'>,
  name: keyof typeof RAW,
): SamplingOfChannel | null {
  const all = signal.samplingReport();
  const of = (channel: number) => all.find((one) => one.channel === channel) ?? null;
  return of(CHANNELS.indexOf(RAW[name])) ?? of(CHANNELS.indexOf(name));
}
