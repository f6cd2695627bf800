import { decodeState, encodeState } from '../../base/snapshot.ts';
import { CHANNELS, type Channel, type ReadingBatch } from '../../model/reading.ts';
import type {
  Bucket,
  Counters,
  Kept,
  KeptOfWell,
  Pack,
  ReadingStore,
  RecordKind,
  RefusedRecord,
  Snapshot,
  StoredRecord,
} from '../../ports/reading-store.ts';
import type { BootTime, WaitingPack, WaitingPacks } from '../../ports/waiting-packs.ts';
import { BucketSums } from '../bucket-sums.ts';
import { checkPack } from '../check-pack.ts';

interface Reading {
  timeS: number;
  channel: number;
  value: number;
}

/** All that is known of one well. */
class Shelf {
  readonly readings: Reading[] = [];
  readonly seen = new Set<string>();
  readonly counters: Counters = { accepted: 0, duplicate: 0, refused: {} };
  readonly refused: RefusedRecord[] = [];
  readonly snapshots: Snapshot[] = [];
  readonly records = new Map<RecordKind, StoredRecord[]>();

  /** Where the first reading of an instant or later stands. */
  from(timeS: number): number {
    return this.#first((one) => one.timeS >= timeS);
  }

  put(reading: Reading): void {
    const last = this.readings.at(-1);
    if (last === undefined || last.timeS <= reading.timeS) this.readings.push(reading);
    else
      this.readings.splice(
        this.#first((one) => one.timeS > reading.timeS),
        0,
        reading,
      );
  }

  /** The first for which something holds, as it does for all after it. */
  #first(holds: (one: Reading) => boolean): number {
    let [low, high] = [0, this.readings.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (holds(this.readings[middle]!)) high = middle;
      else low = middle + 1;
    }
    return low;
  }
}

const BATCH = 4096;
/** Of the refused; the counters go on. */
const MOST_REFUSED = 10_000;

/** Keeps all in memory, for tests and trials: nothing outlives the process. */
export class MemoryStore implements ReadingStore, WaitingPacks {
  readonly #shelves = new Map<string, Shelf>();
  #waiting: WaitingPack[] = [];
  readonly #boots = new Map<string, BootTime>();

  async keep(packs: readonly Pack[]): Promise<Kept[]> {
    for (const pack of packs) checkPack(pack);
    return packs.map((pack) => this.#keepOne(pack));
  }

  async *readings(wellId: string, fromS: number, toS: number): AsyncIterable<ReadingBatch> {
    const shelf = this.#shelves.get(wellId);
    if (shelf === undefined) return;
    const taken = shelf.readings.slice(shelf.from(fromS), shelf.from(toS));
    for (let at = 0; at < taken.length; at += BATCH) {
      const some = taken.slice(at, at + BATCH);
      yield {
        count: some.length,
        timeS: Float64Array.from(some, (r) => r.timeS),
        channel: Uint8Array.from(some, (r) => r.channel),
        value: Float64Array.from(some, (r) => r.value),
      };
    }
  }

  async buckets(
    wellId: string,
    channel: Channel,
    span: { fromS: number; toS: number; count: number },
  ): Promise<Bucket[]> {
    const sums = new BucketSums(span);
    const wanted = CHANNELS.indexOf(channel);
    for (const { timeS, channel, value } of this.#shelves.get(wellId)?.readings ?? [])
      if (channel === wanted) sums.add(timeS, value);
    return sums.buckets();
  }

  async wells(): Promise<KeptOfWell[]> {
    return [...this.#shelves]
      .filter(([, { readings }]) => readings.length > 0)
      .map(([wellId, { readings }]) => ({
        wellId,
        firstS: readings[0]!.timeS,
        lastS: readings.at(-1)!.timeS,
        readings: readings.length,
        rawFromS: null,
      }))
      .sort((a, b) => (a.wellId < b.wellId ? -1 : 1));
  }

  /** Every reading of every well, by time. */
  all(): Reading[] {
    const readings = [...this.#shelves.values()].flatMap((shelf) => shelf.readings);
    return readings.toSorted((a, b) => a.timeS - b.timeS);
  }

  async counters(wellId: string): Promise<Counters> {
    const { accepted, duplicate, refused } = this.#shelf(wellId).counters;
    return { accepted, duplicate, refused: { ...refused } };
  }

  async refused(wellId: string, most: number): Promise<RefusedRecord[]> {
    return this.#shelf(wellId).refused.toReversed().slice(0, most);
  }

  async keepSnapshot(snapshot: Snapshot): Promise<void> {
    const { snapshots } = this.#shelf(snapshot.wellId);
    const same = (one: Snapshot) =>
      one.beforeS === snapshot.beforeS && one.madeBy === snapshot.madeBy;
    drop(snapshots, same);
    snapshots.push({ ...snapshot });
  }

  async snapshotBefore(wellId: string, beforeS: number, madeBy: string): Promise<Snapshot | null> {
    return this.#shelf(wellId)
      .snapshots.filter((one) => one.madeBy === madeBy && one.beforeS <= beforeS)
      .reduce<Snapshot | null>((a, b) => (a === null || b.beforeS > a.beforeS ? b : a), null);
  }

  async dropSnapshotsAfter(wellId: string, fromS: number): Promise<void> {
    drop(this.#shelf(wellId).snapshots, (one) => one.beforeS > fromS);
  }

  async snapshots(wellId: string): Promise<{ beforeS: number; madeBy: string }[]> {
    return this.#shelf(wellId)
      .snapshots.map(({ beforeS, madeBy }) => ({ beforeS, madeBy }))
      .sort((a, b) => a.beforeS - b.beforeS || (a.madeBy < b.madeBy ? -1 : 1));
  }

  async dropSnapshots(
    wellId: string,
    which: readonly { beforeS: number; madeBy: string }[],
  ): Promise<void> {
    const isOne = (one: Snapshot) =>
      which.some(({ beforeS, madeBy }) => one.beforeS === beforeS && one.madeBy === madeBy);
    drop(this.#shelf(wellId).snapshots, isOne);
  }

  async keptBefore(wellId: string, beforeS: number): Promise<number> {
    return this.#shelf(wellId).from(beforeS);
  }

  async wait(packs: readonly WaitingPack[]): Promise<Kept[]> {
    for (const pack of packs) checkPack(pack);
    return packs.map((pack) => {
      const { count } = pack.readings;
      const same = (one: WaitingPack) => isOfBoot(one, pack) && one.seq === pack.seq;
      const isThere = pack.seq !== null && this.#waiting.some(same);
      if (!isThere) this.#waiting.push(pack);
      const [accepted, duplicate] = isThere ? [0, count] : [count, 0];
      return { accepted, duplicate, earliestS: Number.NaN };
    });
  }

  async waiting(): Promise<WaitingPack[]> {
    return [...this.#waiting];
  }

  async settle(boot: BootTime): Promise<void> {
    this.#waiting = this.#waiting.filter((one) => !isOfBoot(one, boot));
    this.#boots.set(JSON.stringify([boot.wellId, boot.device, boot.boot]), boot);
  }

  async boots(): Promise<BootTime[]> {
    return [...this.#boots.values()];
  }

  async putRecords(
    wellId: string,
    kind: RecordKind,
    fromS: number,
    records: readonly StoredRecord[],
  ): Promise<void> {
    const shelf = this.#shelf(wellId);
    const kept = new Map(
      (shelf.records.get(kind) ?? []).filter((r) => r.atS < fromS).map((r) => [r.id, r]),
    );
    for (const { id, atS, body } of records) kept.set(id, { id, atS, body: copyOf(body) });
    shelf.records.set(kind, [...kept.values()]);
  }

  async records(
    wellId: string,
    kind: RecordKind,
    fromS: number,
    toS: number,
  ): Promise<StoredRecord[]> {
    return (this.#shelf(wellId).records.get(kind) ?? [])
      .filter((r) => r.atS >= fromS && r.atS < toS)
      .sort((a, b) => a.atS - b.atS || (a.id < b.id ? -1 : 1))
      .map(({ id, atS, body }) => ({ id, atS, body: copyOf(body) }));
  }

  async close(): Promise<void> {}

  #shelf(wellId: string): Shelf {
    const shelf = this.#shelves.get(wellId) ?? new Shelf();
    this.#shelves.set(wellId, shelf);
    return shelf;
  }

  #keepOne({ wellId, device, boot, seq, arrivedS, readings, refused }: Pack): Kept {
    const shelf = this.#shelf(wellId);
    const kept: Kept = { accepted: 0, duplicate: 0, earliestS: Number.NaN };
    const keyOf = (...parts: unknown[]) => JSON.stringify([device, ...parts]);
    const numbered = boot !== null && seq !== null;
    const number = keyOf('pack', boot, seq);
    const sentBefore = numbered && shelf.seen.has(number);
    if (numbered) shelf.seen.add(number);
    for (let i = 0; i < readings.count; i++) {
      const [timeS, channel] = [readings.timeS[i]!, readings.channel[i]!];
      const key = keyOf('reading', channel, timeS);
      if (sentBefore || (!numbered && shelf.seen.has(key))) {
        kept.duplicate++;
        continue;
      }
      shelf.seen.add(key);
      shelf.put({ timeS, channel, value: readings.value[i]! });
      kept.accepted++;
      if (!(kept.earliestS <= timeS)) kept.earliestS = timeS;
    }
    shelf.counters.accepted += kept.accepted;
    shelf.counters.duplicate += kept.duplicate;
    for (const { index, code } of sentBefore ? [] : refused) {
      shelf.counters.refused[code] = (shelf.counters.refused[code] ?? 0) + 1;
      shelf.refused.push({ device, boot, seq, arrivedS, index, code });
      if (shelf.refused.length > MOST_REFUSED) shelf.refused.shift();
    }
    return kept;
  }
}

function isOfBoot(
  one: WaitingPack,
  { wellId, device, boot }: Pick<BootTime, 'wellId' | 'device' | 'boot'>,
): boolean {
  return one.wellId === wellId && one.device === device && one.boot === boot;
}

function copyOf(body: unknown): unknown {
  return decodeState(encodeState(body));
}

function drop<T>(list: T[], is: (one: T) => boolean): void {
  list.splice(0, list.length, ...list.filter((one) => !is(one)));
}
