import type { AlarmEntry } from '../model/alarm.ts';
import type { FindingEntry, RunEntry } from '../model/study.ts';
import type { DeviceClock, WellNow } from '../model/well-now.ts';
import type { DayAlive } from './day-runs.ts';

/** What is told of a living well as it happens. */
export type LivingEvent =
  | { kind: 'now'; well: string; now: WellNow }
  | { kind: 'run'; well: string; run: RunEntry }
  | { kind: 'day'; well: string; day: DayAlive }
  | { kind: 'finding'; well: string; finding: FindingEntry }
  /** Records from this instant on stand as late readings or a new scale have made them. */
  | { kind: 'restated'; well: string; from: string }
  /** A line of the record of alarms. */
  | { kind: 'alarm'; well: string; at: string; entry: AlarmEntry }
  /** The well file or the journal of the well has changed. */
  | { kind: 'book'; well: string }
  | { kind: 'please'; well: string; please: Please }
  /** A clock is seen to be wrong; null: it is right again. */
  | { kind: 'clock'; well: string; device: string; clock: DeviceClock | null }
  | { kind: 'trouble'; well: string; says: string };

/** Asks a device for faster readings; it need not obey. */
export interface Please {
  intervalS: number;
  forS: number;
}
