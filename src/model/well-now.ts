import type { DayEntry, FindingEntry, TestName, Urgency } from './study.ts';

/** How things stand at a well. What cannot be known is null, with its reason in `unknown`. */
export interface WellNow {
  schema: 1;
  well: string;
  /** Up to where the readings have been analysed; null before the first. */
  at: string | null;
  /** The newest reading kept. */
  lastReading: string | null;
  /** No readings for longer than is usual, and still none. */
  silence: Silence | null;
  /** Readings of the past are being read again: what stands here is of before. */
  replay: { at: string } | null;
  pressurePaGauge: number | null;
  currentA: number | null;
  pump: {
    on: boolean | null;
    /** When it came on or went off; null where that was not seen. */
    since: string | null;
  };
  /**
   * Water that leaves the tank for the house or by loss, smoothed over some ten seconds; where
   * none does it may lie below zero by its doubt.
   */
  flowM3PerS: number | null;
  flowM3PerSStd: number | null;
  /** The calendar day of `at`, so far where it is `open`; a run that is on counts by its time. */
  day: (DayEntry & { open: boolean }) | null;
  /** What is wrong and not cleared. */
  findings: FindingEntry[];
  /** Devices whose clocks are seen to be wrong, by when their readings arrive. */
  clocks: DeviceClock[];
  /** A test or calibration that is on or near, and whether the readings are fast enough for it. */
  test: TestRate | null;
  unknown: { field: string; because: string }[];
}

/** A clock that is wrong. */
export interface DeviceClock {
  /** '' for an unnamed one. */
  device: string;
  /** When that was seen. */
  since: string;
  /** So far its times lie behind their arrival, below zero ahead of it [s]. */
  behindS: number;
  /** Where it was set back: up to here its readings are kept apart. */
  apartUntil: string | null;
}

export interface Silence {
  since: string;
  forS: number;
  /** A silence up to this is usual [s]. */
  usualS: number;
  /** null while it is too short to be worth more than being shown. */
  urgency: Urgency | null;
}

/** What a test needs of the readings, and what it gets. */
export interface TestRate {
  what: TestName | 'calibration';
  start: string;
  stop: string;
  /** Longest time between two pressure readings that it bears [s]. */
  needsS: number;
  /** The time between the last ones [s]; null while not known. */
  getsS: number | null;
  fastEnough: boolean | null;
}
