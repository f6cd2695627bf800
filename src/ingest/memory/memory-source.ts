import type { Inbox, ReadingSource } from '../../ports/reading-source.ts';
import { type HandedIn, outcomeOf } from '../hand-in.ts';
import type { PackReader } from '../pack-reader.ts';

/** A device in the same process, for tests and trials: what it sends goes by no wire. */
export class MemorySource implements ReadingSource {
  readonly #reader: PackReader;
  #inbox: Inbox | null = null;
  readonly #underWay = new Set<Promise<unknown>>();

  constructor(reader: PackReader) {
    this.#reader = reader;
  }

  open(inbox: Inbox): Promise<void> {
    this.#inbox = inbox;
    return Promise.resolve();
  }

  async close(): Promise<void> {
    this.#inbox = null;
    await Promise.allSettled(this.#underWay);
  }

  /**
   * Hands in a body of SenML JSON; resolves with what became of it, durably kept. Rejects where it
   * was not kept: the device still has it, and may send it again.
   */
  send(wellId: string, body: string): Promise<HandedIn> {
    const sent = this.#send(wellId, body).finally(() => this.#underWay.delete(sent));
    this.#underWay.add(sent);
    return sent;
  }

  async #send(wellId: string, body: string): Promise<HandedIn> {
    const inbox = this.#inbox;
    if (inbox === null) throw new Error('expected a source that is open');
    if (!this.#reader.knows(wellId)) throw new Error(`expected a well known here: ${wellId}`);
    const read = this.#reader.read(wellId, new TextEncoder().encode(body));
    const packs = typeof read === 'string' ? [this.#reader.unread(wellId, read)] : read;
    const kept = await Promise.all(packs.map((pack) => inbox.take(pack)));
    return outcomeOf(packs, kept);
  }
}
