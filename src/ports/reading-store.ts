import type { Channel, ReadingBatch } from '../model/reading.ts';

/** A reading of a pack that is of no use, kept with its reason. */
export interface Refused {
  /** Which record of the pack, from 0; -1 for the pack as a whole. */
  index: number;
  code: string;
}

/** What a device handed in at once, its times resolved. All of it is kept, or none. */
export interface Pack {
  wellId: string;
  /** '' where a well has one unnamed device. */
  device: string;
  /** With both, (device, boot, seq) tells a pack sent twice; else (device, channel, time) does. */
  boot: number | null;
  seq: number | null;
  /** Unix s by the clock of the service. */
  arrivedS: number;
  readings: ReadingBatch;
  refused: readonly Refused[];
}

/**
 * What became of a pack. Readings of a time whose raw readings have been dropped by choice are
 * neither accepted nor duplicate: they are refused as `late`, and counted.
 */
export interface Kept {
  accepted: number;
  duplicate: number;
  /** The earliest instant of a reading that is new [Unix s], NaN without any. */
  earliestS: number;
}

/** What readings of a well were ever kept. */
export interface KeptOfWell {
  wellId: string;
  firstS: number;
  lastS: number;
  readings: number;
  /** Raw ones are there from here on, earlier ones were dropped by choice; null where all are. */
  rawFromS: number | null;
}

/** State of an analysis that has taken every reading before `beforeS`. */
export interface Snapshot {
  wellId: string;
  /** Unix s. */
  beforeS: number;
  /** Which well file and which code made it: one of another is of no use. */
  madeBy: string;
  state: string;
}

/** Least, greatest and mean of the readings in a stretch of time; null without readings. */
export interface Bucket {
  fromS: number;
  count: number;
  least: number | null;
  greatest: number | null;
  mean: number | null;
}

/** What a study tells, kept beside the readings. */
export type RecordKind =
  | 'run'
  | 'day'
  | 'draw'
  | 'finding'
  | 'alarm'
  | 'test'
  | 'calibration'
  | 'service'
  | 'note'
  /** Tests that were made step by step, and calibrations that are being made. */
  | 'guide'
  | 'draft'
  /** What hangs on an entry of the book: a photo, an earlier well file. */
  | 'attachment'
  /** That the service lives, written over. */
  | 'pulse';

/** One record: plain data under an id that is its own within well and kind. */
export interface StoredRecord {
  id: string;
  /** Unix s that it is listed under. */
  atS: number;
  body: unknown;
}

/** What became of all that a well handed in, readings and records counted. */
export interface Counters {
  accepted: number;
  duplicate: number;
  /** By code; `late` are readings of a time whose raw readings have been dropped. */
  refused: Record<string, number>;
}

export interface RefusedRecord {
  device: string;
  boot: number | null;
  seq: number | null;
  arrivedS: number;
  index: number;
  code: string;
}

/** Thrown where the disk takes no more: what was acknowledged stays, what comes is refused. */
export class StoreRefuses extends Error {
  readonly why: 'disk-full' | 'read-only' | 'disk-error';
  constructor(why: StoreRefuses['why'], detail: string) {
    super(`the store takes no readings (${why}): ${detail}`);
    this.why = why;
  }
}

/** Thrown where what was kept cannot be read any more: the disk has lost or changed some of it. */
export class StoreDamaged extends Error {
  constructor(detail: string) {
    super(`the store is damaged: ${detail}`);
  }
}

/**
 * Where readings and what came of them are kept. Every adapter passes
 * test/contract/reading-store.contract.ts. Times are Unix s; intervals hold their start, not their
 * end.
 */
export interface ReadingStore {
  /** All packs in one commit. Resolves once they are durably kept. Throws StoreRefuses. */
  keep(packs: readonly Pack[]): Promise<Kept[]>;
  /** Every reading kept, by time, at one instant in the order received. Throws StoreDamaged. */
  readings(wellId: string, fromS: number, toS: number): AsyncIterable<ReadingBatch>;
  /** As many stretches as asked for, of equal length. */
  buckets(
    wellId: string,
    channel: Channel,
    span: { fromS: number; toS: number; count: number },
  ): Promise<Bucket[]>;
  /** Those with readings, by id. */
  wells(): Promise<KeptOfWell[]>;

  counters(wellId: string): Promise<Counters>;
  /** The latest that were refused, newest first. */
  refused(wellId: string, most: number): Promise<RefusedRecord[]>;

  keepSnapshot(snapshot: Snapshot): Promise<void>;
  /**
   * The latest made by `madeBy` that has taken nothing of `beforeS` or later. One that does not
   * come back as it was kept is passed over.
   */
  snapshotBefore(wellId: string, beforeS: number, madeBy: string): Promise<Snapshot | null>;
  /** Those that have taken something of `fromS` or later are of no use any more. */
  dropSnapshotsAfter(wellId: string, fromS: number): Promise<void>;
  /** What snapshots there are, without their states, by `beforeS`. */
  snapshots(wellId: string): Promise<{ beforeS: number; madeBy: string }[]>;
  dropSnapshots(
    wellId: string,
    which: readonly { beforeS: number; madeBy: string }[],
  ): Promise<void>;
  /**
   * How many readings with an earlier time were ever kept, those that retention has dropped since
   * among them. A snapshot that has taken fewer missed one, whatever happened in between.
   */
  keptBefore(wellId: string, beforeS: number): Promise<number>;

  /** In one commit: drops those of the kind with `atS` of `fromS` or later, then puts these. */
  putRecords(
    wellId: string,
    kind: RecordKind,
    fromS: number,
    records: readonly StoredRecord[],
  ): Promise<void>;
  records(wellId: string, kind: RecordKind, fromS: number, toS: number): Promise<StoredRecord[]>;

  close(): Promise<void>;
}
