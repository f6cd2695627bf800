import type { Kept, Pack } from './reading-store.ts';

/** A pack as a source hands it in. */
export interface Arrived extends Pack {
  /**
   * What the device's counter of seconds since its boot showed; the times of the readings are on
   * that counter. null where they are Unix times.
   */
  uptimeS: number | null;
  /** When that counter stood at 0 by the device's own clock [Unix s], where the pack tells. */
  bootBeganS: number | null;
}

/** Why nothing is taken just now. Devices keep what they have. */
export type Hold = 'full' | 'store-refuses' | 'clock-not-set' | 'closing';

/** Thrown by `take` while the inbox holds. */
export class InboxHolds extends Error {
  readonly why: Hold;
  constructor(why: Hold) {
    super(`the inbox takes nothing now (${why})`);
    this.why = why;
  }
}

/** Where a source hands in what it received. */
export interface Inbox {
  /** Why nothing is taken just now, null where something is. */
  readonly holds: Hold | null;
  /** Resolves when it is worth trying again, to those who wait in the order they came. */
  room(): Promise<void>;
  /**
   * Resolves once the pack is durably kept, and only then may the source acknowledge; in the order
   * taken. Throws InboxHolds or StoreRefuses: the source must not acknowledge.
   */
  take(pack: Arrived): Promise<Kept>;
}

/**
 * A way that readings come in: a broker of our own, another's, HTTP, files. Every adapter passes
 * test/contract/reading-source.contract.ts.
 */
export interface ReadingSource {
  /** Resolves once readings can come in. */
  open(inbox: Inbox): Promise<void>;
  /** Takes nothing more, and resolves once all that it took is acknowledged or given up. */
  close(): Promise<void>;
}
