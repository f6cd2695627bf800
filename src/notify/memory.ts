import type { Notice } from '../model/alarm.ts';
import { type Notifier, NotTold } from '../ports/notifier.ts';

/** Keeps what it is told, for tests and rehearsals. */
export class MemoryNotifier implements Notifier {
  readonly told: Notice[] = [];
  /** How it fails; null where it takes what comes. */
  fails: { says: string; again: boolean } | null = null;

  async tell(notice: Notice): Promise<void> {
    if (this.fails !== null) throw new NotTold(this.fails.says, this.fails.again);
    this.told.push(structuredClone(notice));
  }

  async close(): Promise<void> {}
}
