import type { Channel, ReadingBatch } from '../../src/model/reading.ts';
import type {
  Bucket,
  Kept,
  Pack,
  ReadingStore,
  RecordKind,
  Snapshot,
  StoredRecord,
} from '../../src/ports/reading-store.ts';

type Entry = [timeS: number, channel: number, value: number];

interface OfWell {
  entries: Entry[];
  seen: Set<string>;
  snapshots: Map<string, Snapshot>;
  records: Map<RecordKind, StoredRecord[]>;
}

const BATCH = 5000;

/** How many entries are earlier than a time. */
function placeOf(entries: readonly Entry[], timeS: number): number {
  let low = 0;
  for (let high = entries.length; low < high; ) {
    const middle = (low + high) >>> 1;
    if (entries[middle]![0] < timeS) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Keeps in memory what a store of readings has to keep; for tests of those who read from one. */
export class SmallStore implements ReadingStore {
  readonly #wells = new Map<string, OfWell>();
  /** Turns every write of a snapshot or a record into an error. */
  isFull = false;

  async keep(packs: readonly Pack[]): Promise<Kept[]> {
    return packs.map((pack) => this.#keepPack(pack));
  }

  async *readings(wellId: string, fromS: number, toS: number): AsyncIterable<ReadingBatch> {
    const { entries } = this.#of(wellId);
    const inside = entries.slice(placeOf(entries, fromS), placeOf(entries, toS));
    for (let from = 0; from < inside.length; from += BATCH) {
      const part = inside.slice(from, from + BATCH);
      yield {
        count: part.length,
        timeS: Float64Array.from(part, ([at]) => at),
        channel: Uint8Array.from(part, ([, channel]) => channel),
        value: Float64Array.from(part, ([, , value]) => value),
      };
    }
  }

  async buckets(_wellId: string, _channel: Channel): Promise<Bucket[]> {
    throw new Error('nobody here draws charts');
  }

  async wells() {
    return [...this.#wells].map(([wellId, { entries }]) => ({
      wellId,
      firstS: entries[0]?.[0] ?? NaN,
      lastS: entries.at(-1)?.[0] ?? NaN,
      readings: entries.length,
    }));
  }

  async keepSnapshot(snapshot: Snapshot): Promise<void> {
    this.#mayWrite();
    const { wellId, beforeS, madeBy } = snapshot;
    this.#of(wellId).snapshots.set(`${beforeS} ${madeBy}`, { ...snapshot });
  }

  async snapshotBefore(wellId: string, beforeS: number, madeBy: string) {
    const fit = [...this.#of(wellId).snapshots.values()]
      .filter((one) => one.madeBy === madeBy && one.beforeS <= beforeS)
      .sort((a, b) => a.beforeS - b.beforeS);
    return fit.at(-1) ?? null;
  }

  async dropSnapshotsAfter(wellId: string, fromS: number): Promise<void> {
    this.#drop(wellId, ({ beforeS }) => beforeS > fromS);
  }

  async snapshots(wellId: string) {
    return [...this.#of(wellId).snapshots.values()]
      .map(({ beforeS, madeBy }) => ({ beforeS, madeBy }))
      .sort((a, b) => a.beforeS - b.beforeS);
  }

  async dropSnapshots(
    wellId: string,
    which: readonly { beforeS: number; madeBy: string }[],
  ): Promise<void> {
    for (const { beforeS, madeBy } of which)
      this.#drop(wellId, (one) => one.beforeS === beforeS && one.madeBy === madeBy);
  }

  async keptBefore(wellId: string, beforeS: number): Promise<number> {
    return placeOf(this.#of(wellId).entries, beforeS);
  }

  async putRecords(
    wellId: string,
    kind: RecordKind,
    fromS: number,
    records: readonly StoredRecord[],
  ): Promise<void> {
    this.#mayWrite();
    const { records: all } = this.#of(wellId);
    const before = (all.get(kind) ?? []).filter(({ atS }) => atS < fromS);
    const ids = new Set(before.map(({ id }) => id));
    for (const { id } of records) {
      if (ids.has(id)) throw new Error(`${kind} ${id} is there twice`);
      ids.add(id);
    }
    all.set(kind, [...before, ...structuredClone(records)]);
  }

  async records(wellId: string, kind: RecordKind, fromS: number, toS: number) {
    const all = this.#of(wellId).records.get(kind) ?? [];
    return structuredClone(all.filter(({ atS }) => atS >= fromS && atS < toS));
  }

  async close(): Promise<void> {}

  #keepPack({ wellId, device, readings }: Pack): Kept {
    const { entries, seen } = this.#of(wellId);
    const kept: Kept = { accepted: 0, duplicate: 0, earliestS: NaN };
    for (let i = 0; i < readings.count; i++) {
      const at = readings.timeS[i]!;
      if (!Number.isFinite(readings.value[i])) throw new Error('expected a finite value');
      const key = `${device} ${readings.channel[i]} ${at}`;
      if (seen.has(key)) {
        kept.duplicate += 1;
        continue;
      }
      seen.add(key);
      kept.accepted += 1;
      if (!(at >= kept.earliestS)) kept.earliestS = at;
      let place = entries.length;
      while (place > 0 && entries[place - 1]![0] > at) place -= 1;
      entries.splice(place, 0, [at, readings.channel[i]!, readings.value[i]!]);
    }
    return kept;
  }

  #drop(wellId: string, which: (snapshot: Snapshot) => boolean): void {
    const { snapshots } = this.#of(wellId);
    for (const [key, one] of snapshots) if (which(one)) snapshots.delete(key);
  }

  #mayWrite(): void {
    if (this.isFull) throw new Error('nothing more can be written');
  }

  #of(wellId: string): OfWell {
    const known = this.#wells.get(wellId);
    if (known !== undefined) return known;
    const fresh = {
      entries: [],
      seen: new Set<string>(),
      snapshots: new Map(),
      records: new Map(),
    };
    this.#wells.set(wellId, fresh);
    return fresh;
  }
}
