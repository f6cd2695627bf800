import type { SetAsideReason } from '../../model/reading.ts';

/** What the signal stage knows beforehand; `signalConfigOf` takes it from a well file. */
export interface SignalConfig {
  /** Lowest and highest value a channel can say, SI, by channel number. */
  lowest: number[];
  highest: number[];
  /** A of the current channel above which the pump counts as running, for the rate of readings. */
  runningAboveA: number;
  /** The same in raw units, where a calibration tells it. */
  runningAboveRaw: number | null;
  /** How the device reports, null: learnt. */
  policy: 'fixed' | 'on-change' | null;
  /** A longer silence is a gap [s], null: learnt. */
  longestSilenceS: number | null;
}

export type SignalEventKind =
  | 'pressure-wire-open'
  | 'pressure-wire-short'
  | 'adc-stuck'
  | 'clock-jump';

export interface SignalEventDetail {
  channel: number | null;
  phase: 'begins' | 'ends';
  /** The value that is stuck or out of range, SI; for a clock the jump [s], back is negative. */
  value: number;
}

/** What comes next. Called in non-decreasing time order across channels. */
export interface SignalSink {
  reading(timeS: number, channel: number, value: number): void;
  /** No reading of the channel between two times, told when the second comes. */
  gap(channel: number, fromS: number, toS: number): void;
  event(kind: SignalEventKind, timeS: number, detail: SignalEventDetail): void;
}

/** Counts readings that are set aside. */
export interface AsideCounter {
  aside(reason: SetAsideReason, channel: number, timeS: number): void;
  /** Moves `count` readings of a channel from one reason to another. */
  move(from: SetAsideReason, to: SetAsideReason, channel: number, count: number): void;
}
