import { type Arrived, type Inbox, InboxHolds } from '../ports/reading-source.ts';
import { type Kept, StoreRefuses } from '../ports/reading-store.ts';
import type { Counters } from './counters.ts';

/** What became of a message: all its packs together. */
export interface HandedIn {
  accepted: number;
  duplicate: number;
  refused: { index: number; code: string }[];
}

/** What a message says of itself, once its packs are kept. */
export function outcomeOf(packs: readonly Arrived[], kept: readonly Kept[]): HandedIn {
  return {
    accepted: kept.reduce((sum, one) => sum + one.accepted, 0),
    duplicate: kept.reduce((sum, one) => sum + one.duplicate, 0),
    refused: packs
      .flatMap(({ refused }) => refused)
      .map(({ index, code }) => ({ index, code }))
      .toSorted((a, b) => a.index - b.index),
  };
}

/**
 * For a source that can leave its sender waiting: takes a pack once the inbox has room and the
 * store takes again, in the order called. null where the sender is gone by then or the inbox
 * closes, and the pack is not acknowledged; throws what is no refusal but a fault.
 */
export async function takePatiently(
  inbox: Inbox,
  pack: Arrived,
  { isGone, counters }: { isGone: () => boolean; counters: Counters },
): Promise<Kept | null> {
  if (inbox.holds !== null) counters.add(`held-${inbox.holds}`);
  while (!isGone() && inbox.holds !== 'closing') {
    if (inbox.holds === null) {
      try {
        return await inbox.take(pack);
      } catch (error) {
        // The inbox says aloud what troubles the store; here it only means to try again.
        if (!(error instanceof InboxHolds || error instanceof StoreRefuses)) throw error;
      }
    }
    if (inbox.holds !== null) await inbox.room();
  }
  return null;
}
