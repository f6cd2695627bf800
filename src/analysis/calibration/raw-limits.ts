import { xAt } from '../../base/line.ts';
import { CHANNELS } from '../../model/reading.ts';
import { type CalibrationRecord, RAW_OF } from '../../model/well.ts';
import type { SignalConfig } from '../signal/types.ts';
import { CalibrationStage } from './calibration.ts';

/**
 * The signal stage sees raw readings before their calibration: this gives it the limits of
 * pressure and current in raw units, the widest over all calibrations that can be used.
 */
export function withRawLimits(
  config: SignalConfig,
  records: readonly CalibrationRecord[],
): SignalConfig {
  const stage = new CalibrationStage(records);
  const lowest = [...config.lowest];
  const highest = [...config.highest];
  for (const [raw, channel] of CHANNELS.entries()) {
    const becomes = CHANNELS.indexOf(RAW_OF[channel] ?? channel);
    if (becomes === raw) continue;
    const ends = records.flatMap((record) => {
      const line = stage.inForce(becomes, record.fromS)?.line;
      if (CHANNELS.indexOf(record.channel) !== becomes || !line) return [];
      return [xAt(line, config.lowest[becomes]!), xAt(line, config.highest[becomes]!)];
    });
    if (ends.length === 0) continue;
    lowest[raw] = Math.min(...ends);
    highest[raw] = Math.max(...ends);
  }
  return { ...config, lowest, highest, runningAboveRaw: runningAboveRaw(config, stage) };
}

/** Raw value above which the pump runs, by the last calibration of the current; null without. */
function runningAboveRaw(config: SignalConfig, stage: CalibrationStage): number | null {
  const line = stage.last(CHANNELS.indexOf('current'))?.line;
  return line && line.slope > 0 ? xAt(line, config.runningAboveA) : null;
}
