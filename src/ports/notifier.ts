import type { Notice } from '../model/alarm.ts';

/** Thrown where a receiver did not take a notice. */
export class NotTold extends Error {
  /** Whether it may help to try again; else nothing but a change of the settings does. */
  readonly again: boolean;
  constructor(says: string, again: boolean) {
    super(says);
    this.again = again;
  }
}

/**
 * A way to tell somebody. Every adapter passes test/contract/notifier.contract.ts. A notice may
 * come twice (after a kill between telling and writing it down): its id goes with it.
 */
export interface Notifier {
  /**
   * Resolves once the receiver, or the server that answers for it, has taken the notice. Throws
   * NotTold, within a bounded time. No secret is in what it says.
   */
  tell(notice: Notice): Promise<void>;
  /** Lets connections go. */
  close(): Promise<void>;
}
