import { type Check, FINE, notJudged, type Verdict } from './check.ts';
import type { Resolved } from './resolve.ts';
import type { ChannelName } from './types.ts';

/** Keys of the well file that tell the running current. */
export const RUN_KEYS = 'pump.service_factor_current or pump.full_load_current';

/** What the checks of a signal at its input lack: they are silent without it, this is not. */
export const signalsAreTold: Check = (resolved) => {
  const verdicts = (['pressure', 'current'] as const).map((channel): Verdict => {
    const keys = lackingKeys(resolved, channel);
    return keys.length === 0
      ? FINE
      : notJudged(`${channel} at the input of the converter`, keys.join(' and '));
  });
  return { findings: [], notJudged: verdicts.flatMap((verdict) => verdict.notJudged) };
};

function lackingKeys({ pressure, current, converter }: Resolved, channel: ChannelName): string[] {
  const line = channel === 'pressure' ? pressure : current;
  if (line === null) return [`sensing.${channel}`];
  const keys: string[] = [];
  if (channel === 'pressure' && pressure?.signal === null) {
    keys.push('pressure.range and pressure.output');
  }
  if (channel === 'current' && current?.signal === null) {
    const isOpen = current.transformer.output?.unit === 'A' && current.transformer.rangeA !== null;
    keys.push(isOpen ? 'current.burden' : 'current.range and current.output');
  } else if (channel === 'current' && current?.run === null) keys.push(RUN_KEYS);
  if (converter === null) keys.push('sensing.converter');
  else if (line.rangeV === null) keys.push('converter.range');
  if (converter !== null && converter.bits === null) keys.push('converter.bits');
  return keys;
}
