import type { Readable } from 'node:stream';
import type { AlarmKeeper } from '../alarms/alarm-keeper.ts';
import type { WellBook } from '../book/well-book.ts';
import type { Gauges } from '../guided/gauges.ts';
import type { GuidedTests } from '../guided/guided-tests.ts';
import type { LivingWells } from '../living/living-wells.ts';
import type { Study } from '../model/study.ts';
import type { Well } from '../model/well.ts';
import type { Clock } from '../ports/clock.ts';
import type { Gate } from '../ports/gate.ts';
import type { PushDesk } from '../ports/push-desk.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { ServerCounts } from './counts.ts';
import type { Feed } from './feed.ts';
import type { ServerLimits } from './limits.ts';

export interface LogSpan {
  wellId: string;
  fromS: number;
  toS: number;
}

/** A request to take readings, its body not read yet. */
export interface ReadingsRequest {
  wellId: string;
  headers: Record<string, string | string[] | undefined>;
  body: Readable;
}

export interface ReadingsAnswer {
  status: number;
  headers: Record<string, string>;
  body: string;
}

/** What the page for the contractor is made of beside the readings. */
export interface ContractorAsked {
  study: Study;
  well: Well;
  complaint: string;
  by: string;
}

/** What the interface shows, and whom it hands readings to. */
export interface Served {
  /** By id, all that readings are taken for. */
  names: ReadonlyMap<string, string>;
  wells: LivingWells;
  store: ReadingStore;
  /** The alarms of a well by its id; null where it has none. */
  alarms(wellId: string): AlarmKeeper | null;
  /** null where no browser can subscribe to be told. */
  push: PushDesk | null;
  /** Tests of the wells that are made step by step. */
  guided: GuidedTests;
  /** Calibrations of the wells beside the live readings. */
  gauges: Gauges;
  /** The book of a well by its id; null where it has none. */
  book(wellId: string): WellBook | null;
  /** A well made by questions, by whom if one signs in; throws GuideRefusal where none can be. */
  makeWell(made: { well: Well; told: string[]; text: string; by: string | null }): Promise<void>;
  /** Ways in for a device, besides HTTP; whether this machine alone has them. */
  waysIn(): { mqttPort: number | null; plainMqttPort: number | null; isLocal: boolean };
  feed: Feed;
  /** Who is let in; null where all who are on this machine are. */
  gate: Gate | null;
  /** Spoken with everybody where it is given. */
  tls: { cert: string; key: string } | null;
  limits: ServerLimits;
  counters(): Record<string, number>;
  clock: Clock;
  /** A checked copy of the store; throws GuideRefusal where none can be made. */
  backup(): Promise<{ bytes: number; body: Readable }>;
  /** What the store takes on the disk. */
  storeBytes(): number;
  counts: ServerCounts;
  take(request: ReadingsRequest): Promise<ReadingsAnswer>;
  logs: Record<'csv' | 'senml', (span: LogSpan) => AsyncIterable<string>>;
  /** A study as people read it. */
  textOf(study: Study, well: Well): string;
  contractorPages: {
    html(asked: ContractorAsked): Promise<string>;
    pdf(asked: ContractorAsked): Promise<Buffer>;
  };
  /** Why no readings are taken just now; null where they are. */
  holds(): string | null;
  /** Names that it is asked by, beside addresses and those of a home. */
  hostNames: readonly string[];
  /** Folder of the built page. */
  page: string;
  say(line: string): void;
}
