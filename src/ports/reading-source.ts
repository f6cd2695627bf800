import type { Kept, Pack } from './reading-store.ts';

/**
 * Where a source hands in what it received. Resolves once it is durably kept, and only then may the
 * source acknowledge. Throws StoreRefuses: the source must not acknowledge.
 */
export interface Inbox {
  take(pack: Pack): Promise<Kept>;
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
