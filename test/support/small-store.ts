import type { RecordKind, Snapshot, StoredRecord } from '../../src/ports/reading-store.ts';
import { MemoryStore } from '../../src/store/memory/store.ts';

/** The store in memory that can run full, and minds records put twice. */
export class SmallStore extends MemoryStore {
  /** Turns every write of a snapshot or a record into an error. */
  isFull = false;

  override async keepSnapshot(snapshot: Snapshot): Promise<void> {
    this.#mayWrite();
    await super.keepSnapshot(snapshot);
  }

  override async putRecords(
    wellId: string,
    kind: RecordKind,
    fromS: number,
    records: readonly StoredRecord[],
  ): Promise<void> {
    this.#mayWrite();
    const ids = new Set((await this.records(wellId, kind, -1e13, fromS)).map(({ id }) => id));
    for (const { id } of records) {
      if (ids.has(id)) throw new Error(`${kind} ${id} is there twice`);
      ids.add(id);
    }
    await super.putRecords(wellId, kind, fromS, records);
  }

  #mayWrite(): void {
    if (this.isFull) throw new Error('nothing more can be written');
  }
}
