import type { ReadingBatch } from '../model/reading.ts';
import type { Study } from '../model/study.ts';
import type { Well } from '../model/well.ts';
import { Pipeline } from '../pipeline/pipeline.ts';
import { studyOf } from '../pipeline/result.ts';
import type { ReadingStore, Snapshot } from '../ports/reading-store.ts';
import { isSnapshotDue, toThin } from './schedule.ts';

/** Beyond any time that a reading can have, Unix s: the reach of a JavaScript date. */
export const ALWAYS_S = 8.64e12;
/** Readings analysed in one go, some 4 ms of work, before others have their turn. */
const SLICE = 512;
/** Two snapshots differ by more than this, s. */
const JUST_S = 1e-3;

export interface AnalysisPorts {
  store: ReadingStore;
  /** Lets whatever else waits have its turn. */
  breathe: () => Promise<void>;
  /** What went wrong without stopping the analysis. */
  trouble: (error: unknown) => void;
}

/**
 * One pipeline fed from the store in order of time. It can go on, and go back: to the last
 * snapshot before a moment, from where it takes the readings again as they now stand.
 */
export class Analysis {
  pipeline: Pipeline;
  /** Every reading before this has been taken, none from there on; NaN: to be loaded. */
  beforeS = NaN;
  /** Readings earlier than this have been taken or asked for: a new one of them is late. */
  askedToS = -ALWAYS_S;
  /** What was earlier could not be read again when it was loaded; null where all could. */
  rawFromS: number | null = null;
  readonly #well: Well;
  readonly #madeBy: string;
  readonly #ports: AnalysisPorts;
  #lastSnapshotS = NaN;
  #lastTakenS = -ALWAYS_S;

  constructor(well: Well, madeBy: string, ports: AnalysisPorts) {
    this.#well = well;
    this.#madeBy = madeBy;
    this.#ports = ports;
    this.pipeline = new Pipeline(well);
  }

  /**
   * Stands where the last snapshot stands that has taken nothing of `beforeS` or later, or at the
   * very start. One that missed a reading kept before it is passed over: so may a kill leave it.
   */
  async load(beforeS: number): Promise<void> {
    const { store, trouble, breathe } = this.#ports;
    this.beforeS = NaN;
    const { id } = this.#well;
    const kept = (await store.wells()).find(({ wellId }) => wellId === id);
    this.rawFromS = kept?.rawFromS ?? null;
    for (let limitS = beforeS; ; ) {
      const saved = await store.snapshotBefore(id, limitS, this.#madeBy);
      if (saved === null) return this.#stand(await this.#begun(), -ALWAYS_S);
      // What comes meanwhile may not be in the count: it is late, for all that is known.
      this.askedToS = Math.max(this.askedToS, saved.beforeS);
      const pipeline = this.#restored(saved, trouble);
      await breathe();
      const all = pipeline === null ? NaN : await store.keptBefore(id, saved.beforeS);
      if (pipeline !== null && pipeline.taken === all) return this.#stand(pipeline, saved.beforeS);
      limitS = saved.beforeS - JUST_S;
    }
  }

  /** With nothing taken but what was dropped since and cannot be taken any more. */
  async #begun(): Promise<Pipeline> {
    const { store } = this.#ports;
    const pipeline = new Pipeline(this.#well);
    if (this.rawFromS !== null)
      pipeline.taken = await store.keptBefore(this.#well.id, this.rawFromS);
    return pipeline;
  }

  #restored({ state }: Snapshot, trouble: (error: unknown) => void): Pipeline | null {
    try {
      return new Pipeline(this.#well, state);
    } catch (error) {
      trouble(error);
      return null;
    }
  }

  #stand(pipeline: Pipeline, beforeS: number): void {
    this.pipeline = pipeline;
    this.beforeS = beforeS;
    this.askedToS = beforeS;
    this.#lastTakenS = beforeS;
    this.#lastSnapshotS = beforeS === -ALWAYS_S ? NaN : beforeS;
  }

  /** Time of the last reading taken, about; NaN before the first. */
  get lastTakenS(): number {
    return this.#lastTakenS === -ALWAYS_S ? NaN : this.#lastTakenS;
  }

  /** Goes on with all readings before `toS`. Where it throws, `load` comes next. */
  async goTo(toS: number, nowS: number, onSlice: (atS: number) => void): Promise<void> {
    const fromS = this.beforeS;
    this.beforeS = NaN;
    this.askedToS = toS;
    const batches = this.#ports.store.readings(this.#well.id, fromS, toS);
    for await (const slice of slicesOf(batches)) {
      const atS = slice.timeS[0]!;
      if (Number.isNaN(this.#lastSnapshotS)) this.#lastSnapshotS = atS;
      // Between readings of one instant there is no place for a snapshot.
      if (atS > this.#lastTakenS) await this.#keepWhenDue(atS, nowS);
      this.pipeline.take(slice);
      this.#lastTakenS = slice.timeS[slice.count - 1]!;
      onSlice(this.#lastTakenS);
      await this.#ports.breathe();
    }
    this.beforeS = toS;
    await this.#keepWhenDue(toS, nowS);
  }

  /** The study of every reading kept, as if the log ended here; null without a usable one. */
  async study(told: string[]): Promise<Study | null> {
    const { breathe, store } = this.#ports;
    const state = this.pipeline.snapshot();
    await breathe();
    const copy = new Pipeline(this.#well, state);
    await breathe();
    const batches = store.readings(this.#well.id, this.beforeS, ALWAYS_S);
    for await (const slice of slicesOf(batches)) {
      copy.take(slice);
      await breathe();
    }
    copy.end();
    return Number.isNaN(copy.firstS) ? null : studyOf(copy, { setAside: [], told });
  }

  /** Keeps a snapshot of where it stands, for whoever comes next. */
  async keep(nowS: number): Promise<void> {
    const { beforeS } = this;
    if (beforeS > this.#lastSnapshotS) await this.#keepAt(beforeS, nowS);
  }

  async #keepWhenDue(atS: number, nowS: number): Promise<void> {
    if (isSnapshotDue(this.#lastSnapshotS, atS, nowS)) await this.#keepAt(atS, nowS);
  }

  /** A store that takes no snapshot costs a longer replay one day, and no result. */
  async #keepAt(beforeS: number, nowS: number): Promise<void> {
    const { store, trouble, breathe } = this.#ports;
    const { id } = this.#well;
    this.#lastSnapshotS = beforeS;
    try {
      const state = this.pipeline.snapshot();
      await breathe();
      await store.keepSnapshot({ wellId: id, beforeS, madeBy: this.#madeBy, state });
      const all = await store.snapshots(id);
      const own = all.filter((one) => one.madeBy === this.#madeBy).map((one) => one.beforeS);
      const thin = new Set(toThin(own, nowS));
      // What another file or other code made is of no use once what stands here has passed it.
      const drop = all.filter((one) =>
        one.madeBy === this.#madeBy ? thin.has(one.beforeS) : one.beforeS <= beforeS,
      );
      if (drop.length > 0) await store.dropSnapshots(id, drop);
    } catch (error) {
      trouble(error);
    }
  }
}

/** The same readings in pieces of bounded work. */
export async function* slicesOf(batches: AsyncIterable<ReadingBatch>): AsyncIterable<ReadingBatch> {
  for await (const { count, timeS, channel, value } of batches)
    for (let from = 0; from < count; from += SLICE) {
      const to = Math.min(from + SLICE, count);
      yield {
        count: to - from,
        timeS: timeS.subarray(from, to),
        channel: channel.subarray(from, to),
        value: value.subarray(from, to),
      };
    }
}
