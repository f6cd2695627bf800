import type { ReadingBatch, SetAsideTally } from '../../model/reading.ts';

export interface LogOptions {
  /** IANA zone of times without an offset. */
  timeZone: string;
  /** Pa; taken off readings that are absolute. */
  atmospherePa: number;
  /** Foreign heading to our own, as in `"Line P (psi)" = "pressure [psi]"`. */
  columns: Record<string, string>;
  /** Those of them that a log must have, as a person has just named them for it. */
  asked?: string[];
}

/** What a log held: `offered` = readings handed on + `setAside`, to the last reading. */
export interface LogReport {
  /** Non-empty cells and records of each channel, by channel number. */
  offeredByChannel: number[];
  /** Readings of no known channel: unknown names, and lines cut before their first cell. */
  offeredUnknown: number;
  /** Readings handed on. */
  used: number;
  setAside: SetAsideTally[];
  /** Plain sentences for the keeper about how the log was read. */
  told: string[];
}

/** The next batch is read once the promise, where one is given, resolves. */
export type BatchSink = (batch: ReadingBatch) => void | Promise<void>;

/** Why a log cannot be read at all; docs/errors.md says what each means. */
export const LOG_ERRORS = [
  'no-file',
  'not-readable',
  'empty-log',
  'no-time-column',
  'no-channel-column',
  'column-twice',
  'column-unit',
  'column-absent',
  'too-many-columns',
] as const;

export interface LogProblem {
  code: (typeof LOG_ERRORS)[number];
  /** Where, what was expected and what was found. */
  says: string;
}

/** A log that cannot be read: its file, or the row that names its columns. */
export class LogError extends Error {
  readonly problems: LogProblem[];

  constructor(problems: LogProblem[]) {
    super(problems.map(({ says }) => says).join('\n'));
    this.name = 'LogError';
    this.problems = problems;
  }
}
