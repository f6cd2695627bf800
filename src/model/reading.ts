/**
 * The channels of design section 2, in the order that gives each its number in a batch.
 * `pressure` is Pa gauge, `current` and `current-peak` A rms, `start-time` s, `mains` V,
 * `level` m below ground, `flow` m3/s, `air-temperature` K; raw forms are V or counts.
 */
export const CHANNELS = [
  'pressure',
  'current',
  'current-peak',
  'start-time',
  'mains',
  'level',
  'flow',
  'air-temperature',
  'pressure-raw',
  'current-raw',
] as const;

export type Channel = (typeof CHANNELS)[number];

/**
 * Readings in the order received, one entry a reading, values in SI. The first `count`
 * entries of each array hold. `NaN` is a cell whose text could not be a number and never occurs:
 * such a cell is set aside before it becomes a reading.
 */
export interface ReadingBatch {
  count: number;
  /** Unix time in seconds, as the device or the log said. */
  timeS: Float64Array;
  channel: Uint8Array;
  value: Float64Array;
}

/** Why a reading could not be used. One name for one reason, wherever it is found. */
export const SET_ASIDE = [
  'unreadable-time',
  'unreadable-value',
  'unknown-channel',
  'wrong-unit',
  'missing-cell',
  'cut-line',
  'no-such-local-time',
  'no-anchor',
  'no-calibration',
  'not-finite',
  'duplicate',
  'late',
  'clock-unset',
  'clock-ahead',
  'clock-back',
  'counter-full',
  'outside-sensor-range',
  'stuck',
] as const;

export type SetAsideReason = (typeof SET_ASIDE)[number];

/** How many readings were set aside for a reason, and the first lines (1-based) that had it. */
export interface SetAsideTally {
  reason: SetAsideReason;
  count: number;
  /** At most ten, `file:line` for logs. */
  firstAt: string[];
}
