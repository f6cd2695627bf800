import { setTimeout as sleep } from 'node:timers/promises';
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

/** How fast a sender may send. */
interface Pace {
  waitS(pack: Arrived): number;
  spend(pack: Arrived): void;
}

/** So often it is looked whether who waits is still there. */
const LOOK_EVERY_MS = 250;

/**
 * For a source that can leave its sender waiting: takes a pack once the inbox has room and the
 * store takes again, in the order called. null where the sender is gone by then or the inbox
 * closes, and the pack is not acknowledged; throws what is no refusal but a fault.
 */
export async function takePatiently(
  inbox: Inbox,
  pack: Arrived,
  { isGone, counters, pace }: { isGone: () => boolean; counters: Counters; pace?: Pace },
): Promise<Kept | null> {
  if (pace !== undefined) await paced(pack, { pace, isGone, counters });
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

/** Waits until a sender that was too fast may go on. */
async function paced(
  pack: Arrived,
  { pace, isGone, counters }: { pace: Pace; isGone: () => boolean; counters: Counters },
): Promise<void> {
  if (pace.waitS(pack) > 0) counters.add('held-too-fast');
  while (pace.waitS(pack) > 0 && !isGone())
    await sleep(Math.min(pace.waitS(pack) * 1000, LOOK_EVERY_MS));
  pace.spend(pack);
}
