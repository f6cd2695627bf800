import { BOOK_KINDS, type BookAct, type BookEntry, type BookKind } from '../model/book.ts';
import type { Clock } from '../ports/clock.ts';
import type { ReadingStore } from '../ports/reading-store.ts';

/** Times of entries are of whole milliseconds; a span of the store that holds one of them. */
const APART_MS = 1;
const EVER_S = 8.64e12;

/** Photos and texts as they are kept beside an entry: bytes as base64. */
export type Attachment = { what: 'photo'; base64: string } | { what: 'file-before'; text: string };

export interface Written {
  entry: BookEntry;
  atS: number;
}

/** Who did what when, in the store: it only grows, and what came later stands later. */
export class Journal {
  readonly #wellId: string;
  readonly #store: ReadingStore;
  readonly #clock: Clock;
  #lastMs: number;

  private constructor(
    wellId: string,
    ports: { store: ReadingStore; clock: Clock },
    lastMs: number,
  ) {
    this.#wellId = wellId;
    this.#store = ports.store;
    this.#clock = ports.clock;
    this.#lastMs = lastMs;
  }

  static async open(
    wellId: string,
    ports: { store: ReadingStore; clock: Clock },
  ): Promise<Journal> {
    const journal = new Journal(wellId, ports, -Infinity);
    const last = (await journal.#all()).at(-1);
    if (last !== undefined) journal.#lastMs = Math.round(last.atS * 1000);
    return journal;
  }

  /** By the time that they came. */
  async entries(): Promise<BookEntry[]> {
    return (await this.#all()).map(({ entry }) => entry);
  }

  /** Durably, what hangs on it first: an entry never names what is not there. */
  async put(kind: BookKind, act: BookAct, attached: readonly Attachment[] = []): Promise<Written> {
    const ms = Math.max(Math.round(this.#clock.nowS() * 1000), this.#lastMs + APART_MS);
    this.#lastMs = ms;
    const atS = ms / 1000;
    const id = `${kind}-${ms}`;
    const records = attached.map((body, i) => ({ id: `${id}.${i}`, atS, body }));
    if (records.length > 0) await this.#store.putRecords(this.#wellId, 'attachment', atS, records);
    const entry = { id, kind, at: new Date(ms).toISOString(), act };
    await this.rewrite({ entry, atS });
    return { entry, atS };
  }

  /** Puts the latest entry of its kind anew. */
  async rewrite({ entry, atS }: Written): Promise<void> {
    await this.#store.putRecords(this.#wellId, entry.kind, atS, [
      { id: entry.id, atS, body: entry.act },
    ]);
  }

  /** What hangs on an entry, the place counted from 0; null where nothing does. */
  async attachment(entryId: string, place: number): Promise<Attachment | null> {
    const ms = Number(entryId.split('-').at(-1));
    if (!Number.isFinite(ms)) return null;
    const [fromS, toS] = [(ms - APART_MS / 2) / 1000, (ms + APART_MS / 2) / 1000];
    const all = await this.#store.records(this.#wellId, 'attachment', fromS, toS);
    const found = all.find(({ id }) => id === `${entryId}.${place}`);
    return (found?.body as Attachment | undefined) ?? null;
  }

  async #all(): Promise<Written[]> {
    const kinds = BOOK_KINDS.map(async (kind) => {
      const records = await this.#store.records(this.#wellId, kind, -EVER_S, EVER_S);
      return records.map(({ id, atS, body }): Written => {
        const at = new Date(Math.round(atS * 1000)).toISOString();
        return { entry: { id, kind, at, act: body as BookAct }, atS };
      });
    });
    return (await Promise.all(kinds)).flat().sort((a, b) => a.atS - b.atS);
  }
}
