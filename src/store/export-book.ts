import { BOOK_KINDS } from '../model/book.ts';
import type { ReadingStore, StoredRecord } from '../ports/reading-store.ts';
import type { Exported } from './export.ts';

/**
 * The journal of a well with all that hangs on it (photos as base64, earlier texts of the well
 * file): one JSON object a line, by the time that it came.
 */
export async function* exportBook(
  store: Pick<ReadingStore, 'records'>,
  { wellId, fromS, toS }: Exported,
): AsyncIterable<string> {
  const entries: (StoredRecord & { kind: string })[] = [];
  for (const kind of BOOK_KINDS)
    for (const record of await store.records(wellId, kind, fromS, toS))
      entries.push({ ...record, kind });
  entries.sort((a, b) => a.atS - b.atS);
  for (const { id, kind, atS, body } of entries) {
    // Those of one entry share its instant, so that no more than these are in memory at once.
    const near = await store.records(wellId, 'attachment', atS - 5e-4, atS + 5e-4);
    const attached = near.filter((one) => one.id.startsWith(`${id}.`)).map((one) => one.body);
    const at = new Date(Math.round(atS * 1000)).toISOString();
    yield `${JSON.stringify({ id, kind, at, act: body, attached })}\n`;
  }
}
