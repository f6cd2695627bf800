import { join } from 'node:path';
import { setTimeout as sleep, setImmediate as turn } from 'node:timers/promises';
import { Access } from '../../access/access.ts';
import { WellBook } from '../../book/well-book.ts';
import { Gauges } from '../../guided/gauges.ts';
import { GuidedTests } from '../../guided/guided-tests.ts';
import { Counters } from '../../ingest/counters.ts';
import { ClockWatch } from '../../ingest/inbox/clock-watch.ts';
import { GroupInbox } from '../../ingest/inbox/inbox.ts';
import { limitsWith } from '../../ingest/limits.ts';
import type { PlainTopic } from '../../ingest/mqtt/plain-topics.ts';
import { PackReader } from '../../ingest/pack-reader.ts';
import type { LivingEvent } from '../../living/events.ts';
import { LivingWells } from '../../living/living-wells.ts';
import { resultsPack } from '../../messages/senml/results.ts';
import type { Well } from '../../model/well.ts';
import type { Clock } from '../../ports/clock.ts';
import { StoreRefuses } from '../../ports/reading-store.ts';
import { Feed } from '../../server/feed.ts';
import { limitsOfServer } from '../../server/limits.ts';
import { takeStore } from '../../store/sqlite/in-use.ts';
import { type Damage, SqliteStore } from '../../store/sqlite/store.ts';
import { WellTextFile } from '../../store/well-text-file.ts';
import type { Credentials } from '../rehearse/sender.ts';
import { type AlarmOptions, Alarms } from './alarms.ts';
import { analysisVersion } from './analysis-version.ts';
import { notBeforeS, notSet, ofClock, toldOf } from './clocks.ts';
import { FindingLines } from './finding-lines.ts';
import { dropEveryHour } from './retention.ts';
import type { Say } from './say.ts';
import { openSources, type Sources } from './sources.ts';

export interface KeptWell {
  file: string;
  /** As the file says now. */
  well: Well;
  told: string[];
  /** Logs that are its history. */
  history: string[];
}

/** A well whose file cannot be used: its readings are kept, and wait until it is mended. */
export interface BrokenWell {
  file: string;
  id: string;
  /** All that is wrong in it. */
  says: string;
}

export interface ServiceOptions {
  wells: KeptWell[];
  broken?: BrokenWell[];
  /** Where files of wells that are made by questions go; without it none can be made. */
  folder?: string;
  store: string;
  host: string;
  /** Names that browsers ask it by, beside addresses and those of a home. */
  names?: string[];
  /** Ports; 0 takes a free one. `orFree`: a free one as well where it is taken. */
  http: number;
  /** null where readings come from another broker only. */
  mqtt: number | null;
  orFree: boolean;
  broker: { url: string; credentials: Credentials | null } | null;
  topics: PlainTopic[];
  /** The clock of this machine is right, whatever the store has. */
  trustClock?: boolean;
  /** Who is told of alarms; they are kept and shown without it, too. */
  alarms?: AlarmOptions;
  say: Say;
  /** Raw readings of longer ago are dropped for good; without it all are kept. */
  keepRawDays?: number;
  /** Folder of who is let in; without it whoever is on this machine, and nobody else. */
  accessFolder?: string;
  /** Port where readings are taken with a key but without TLS; null where none is. */
  plainMqtt?: number | null;
  /** That of the machine, unless a bench lets a year pass faster. */
  clock?: Clock;
}

const ADVANCE_EVERY_MS = 1000;
const TRY_WRITE_EVERY_MS = 5000;
const TAKES_AGAIN = 'the store takes readings again';
const SRC = join(import.meta.dirname, '..', '..');

/** The service, joined of its parts: from the store inwards to the wells, outwards to who asks. */
export class Service {
  readonly store: SqliteStore;
  readonly wells: LivingWells;
  readonly counters = new Counters();
  readonly feed: Feed;
  readonly limits = limitsOfServer();
  readonly clock: Clock;
  readonly reader: PackReader;
  readonly options: ServiceOptions;
  #inbox: GroupInbox | null = null;
  #clocks: ClockWatch | null = null;
  #sources: Sources | null = null;
  #alarms: Alarms | null = null;
  #access: Access | null = null;
  /** Of all wells, by id. */
  readonly names = new Map<string, string>();
  /** Told of a well that was added while the service runs. */
  onAdded: (kept: KeptWell) => void = () => undefined;
  readonly #books = new Map<string, WellBook>();
  readonly guided: GuidedTests;
  readonly gauges: Gauges;
  readonly #findings: FindingLines;
  readonly #inUse: { leave(): void };
  #trouble: string | null = null;
  /** Why the store was not seen to write since the start; null once it was. */
  #unwritten: string | null = null;
  #writeTimer: NodeJS.Timeout | undefined;
  #timer: NodeJS.Timeout | undefined;
  #dropTimer: NodeJS.Timeout | undefined;

  private constructor(options: ServiceOptions, codeVersion: string) {
    this.options = options;
    const limits = limitsWith();
    this.clock = options.clock ?? { nowS: () => Date.now() / 1000 };
    const { clock, counters } = this;
    this.#findings = new FindingLines(clock, options.say);
    this.reader = new PackReader({ wells: this.#ids, clock, counters, limits });
    this.#inUse = takeStore(options.store);
    this.store = this.#openStore(options.store);
    this.feed = new Feed(this.limits, Date.now().toString(36));
    const breathe = () => turn();
    const tell = (event: LivingEvent) => this.#tell(event);
    const clocks = {
      wrong: (id: string) => this.#clocks?.wrong(id) ?? [],
      told: (id: string) => (this.#clocks === null ? [] : toldOf(this.#clocks, id)),
    };
    const ports = { store: this.store, clock, breathe, tell, clocks };
    this.wells = new LivingWells(ports, codeVersion);
    const work = {
      ...{ store: this.store, clock, breathe },
      living: (id: string) => this.wells.get(id),
      book: (id: string) => this.book(id),
      work: (id: string) => this.#alarms?.get(id) ?? null,
    };
    this.guided = new GuidedTests(work);
    this.gauges = new Gauges(work);
  }

  #openStore(path: string): SqliteStore {
    try {
      return new SqliteStore(path, { onDamage: (...found) => this.#damaged(...found) });
    } catch (error) {
      this.#inUse.leave();
      throw error;
    }
  }

  /** Resolves once readings are taken and questions answered. */
  static async open(options: ServiceOptions): Promise<Service> {
    const service = new Service(options, await analysisVersion(SRC));
    try {
      await service.#open();
      return service;
    } catch (error) {
      await service.close();
      throw error;
    }
  }

  get ports(): Sources['ports'] {
    return this.#sources?.ports ?? { http: 0, mqtt: null, plainMqtt: null };
  }

  get inbox(): GroupInbox {
    return this.#inbox!;
  }

  get alarms(): Alarms {
    return this.#alarms!;
  }

  /** Who is let in; null where whoever is on this machine is. */
  get access(): Access | null {
    return this.#access;
  }

  /** Of all wells, those whose file cannot be used, too. */
  get #ids(): string[] {
    const { wells, broken = [] } = this.options;
    return [...wells.map(({ well }) => well.id), ...broken.map(({ id }) => id)];
  }

  /** The book of a well by its id; null where it has none. */
  book(wellId: string): WellBook | null {
    return this.#books.get(wellId) ?? null;
  }

  /** Why no readings are taken just now; null where they are. */
  get holds(): string | null {
    return this.#trouble ?? this.#unwritten ?? this.inbox.holds;
  }

  async #open(): Promise<void> {
    const { store, clock, counters, reader, wells, options } = this;
    this.#clocks = await ClockWatch.open({
      ...{
        store,
        counters,
        limits: reader.limits,
        wells: this.#ids,
      },
      onClock: (well, device, clock) => this.#tell({ kind: 'clock', well, device, clock }),
    });
    const { heardBeforeS } = this.#clocks;
    for (const kept of options.wells) await this.#settle(kept);
    for (const one of options.broken ?? []) await this.#settleBroken(one);
    this.#alarms = await Alarms.open({
      ...{ store, clock, wells, files: options.wells.map(({ well }) => well) },
      options: options.alarms ?? null,
      subscriptionFile: `${options.store}.push.json`,
      tell: (event) => this.#tell(event),
      say: options.say,
      holds: () => this.holds,
    });
    this.#inbox = await GroupInbox.open({
      ...{ store, waiting: store, clock, counters, limits: reader.limits },
      clocks: this.#clocks,
      notBeforeS: notBeforeS(heardBeforeS, options.trustClock ?? false),
      onKept: (pack, kept) => {
        this.#wrote();
        wells.kept(pack, kept);
        this.alarms.heard(pack);
      },
      tryWrite: () => store.tryWrite(),
      onTrouble: (trouble) => this.#storeTrouble(trouble),
    });
    if (this.#inbox.holds === 'clock-not-set')
      options.say({ level: 'trouble', says: notSet(clock.nowS(), heardBeforeS) });
    this.#tryWrite();
    await this.#openAccess();
    this.#sources = await openSources(this);
    this.#timer = setInterval(() => void this.#advance(), ADVANCE_EVERY_MS);
    this.#dropTimer = dropEveryHour(this);
    void this.#advance();
  }

  async #openAccess(): Promise<void> {
    const { accessFolder: folder, host, say, wells } = this.options;
    if (folder === undefined) return;
    const { clock } = this;
    const tell = (level: 'told' | 'trouble', says: string) => say({ level, says });
    this.#access = await Access.open({ folder, clock, say: tell });
    for (const name of this.#access.devicesOfOthers(wells.map(({ well }) => well.id)))
      tell('trouble', `${name} is let in, and its well is none of those of this service`);
    if (['0.0.0.0', '::'].includes(host) || this.#access.isOurs(host)) return;
    const mend = `wellwright access new-certificates ${folder} --name ${host}`;
    tell('trouble', `the certificate is not for ${host}, and who asks there is warned: ${mend}`);
  }

  /** One more well, while the service runs. */
  async add(kept: KeptWell): Promise<void> {
    const { id } = kept.well;
    this.reader.add(id);
    await this.#clocks?.add(id);
    await this.#settle(kept);
    await this.alarms.add(kept.well);
    this.options.wells.push(kept);
    this.onAdded(kept);
  }

  async #settle(kept: KeptWell): Promise<void> {
    const { well, told } = kept;
    this.names.set(well.id, well.name);
    this.wells.put(well, told);
    await this.#openBook(well.id, kept.file, (now) => {
      kept.well = now;
    });
  }

  /** Told with all that is wrong; once its file is mended it lives like the others. */
  async #settleBroken({ file, id, says }: BrokenWell): Promise<void> {
    this.names.set(id, id);
    this.wells.putBroken(id, says);
    let kept: KeptWell | null = null;
    await this.#openBook(id, file, (well, told) => {
      if (kept !== null) kept.well = well;
      else {
        kept = { file, well, told, history: [] };
        this.options.wells.push(kept);
        this.alarms.add(well).catch((error: Error) => {
          this.options.say({ level: 'trouble', well: id, says: error.message });
        });
      }
    });
  }

  async #openBook(
    id: string,
    file: string,
    hold: (well: Well, told: string[]) => void,
  ): Promise<void> {
    const { store, clock, wells, options } = this;
    const book = await WellBook.open(id, {
      ...{ store, clock },
      text: new WellTextFile(file),
      put: (well, told) => {
        hold(well, told);
        this.names.set(id, well.name);
        wells.put(well, told);
        options.say({ level: 'told', well: id, says: 'the well file has changed and is in force' });
      },
      tell: () => this.#tell({ kind: 'book', well: id }),
      trouble: (error) =>
        options.say({ level: 'trouble', well: id, says: (error as Error).message }),
    });
    this.#books.set(id, book);
  }

  /** A well that is long at it does not keep the others from being told of. */
  async #advance(): Promise<void> {
    const late = sleep(ADVANCE_EVERY_MS, undefined, { ref: false });
    await Promise.race([this.wells.advance(), late]);
    const ids = this.options.wells.map(({ well }) => well.id);
    await this.guided.advance(ids, (error) => {
      this.options.say({ level: 'trouble', says: (error as Error).message });
    });
    await this.alarms.advance();
  }

  /**
   * Takes nothing more, keeps all that is under way, then where each well stands. Parts that never
   * came up are left out.
   */
  async close(): Promise<void> {
    clearInterval(this.#timer);
    clearInterval(this.#dropTimer);
    clearInterval(this.#writeTimer);
    this.feed.close();
    await this.#sources?.close();
    this.#access?.close();
    await this.#inbox?.close();
    await this.wells.close();
    await this.#alarms?.close();
    await this.store.close();
    this.#inUse.leave();
  }

  /** Readings may be long in coming: a disk that takes none is told before. */
  #tryWrite(): void {
    try {
      this.store.tryWrite();
      this.#wrote();
    } catch (error) {
      if (!(error instanceof StoreRefuses)) throw error;
      this.#writeTimer ??= setInterval(() => this.#tryWrite(), TRY_WRITE_EVERY_MS);
      if (this.#unwritten === null) this.options.say({ level: 'trouble', says: error.message });
      this.#unwritten = error.message;
    }
  }

  #wrote(): void {
    if (this.#unwritten === null) return;
    clearInterval(this.#writeTimer);
    this.#unwritten = null;
    // Where the inbox met it as well, it says when that is over.
    if (this.#trouble === null) this.options.say({ level: 'told', says: TAKES_AGAIN });
  }

  #storeTrouble(trouble: Error | null): void {
    this.#trouble = trouble?.message ?? null;
    const says = this.#trouble ?? TAKES_AGAIN;
    this.options.say({ level: trouble === null ? 'told' : 'trouble', says });
  }

  #damaged(what: Damage, well: string, says: string): void {
    const counter = {
      snapshot: 'snapshots-damaged',
      hour: 'hours-damaged',
      sealing: 'not-sealed',
    } as const;
    this.counters.add(counter[what]);
    this.options.say({ level: 'trouble', well, says });
  }

  #tell(event: LivingEvent): void {
    const { say } = this.options;
    const { well } = event;
    this.feed.tell(event);
    if (event.kind === 'now') {
      this.#findings.done(well);
      const pack = JSON.stringify(resultsPack(event.now));
      this.#sources?.publish(`wells/${well}/results`, pack, true);
    } else if (event.kind === 'please') {
      this.#sources?.publish(`wells/${well}/please`, JSON.stringify(event.please), false);
    } else if (event.kind === 'clock') {
      const level = event.clock === null ? 'told' : 'trouble';
      say({ level, well, says: ofClock(event.device, event.clock) });
    } else if (event.kind === 'alarm') {
      const { entry } = event;
      if (entry.what === 'notice')
        this.#sources?.publish(`wells/${well}/alarms`, JSON.stringify(entry.notice), false);
    } else if (event.kind === 'trouble') {
      say({ level: 'trouble', well, says: event.says });
    } else if (event.kind === 'finding') {
      this.#findings.note(well, event.finding);
    }
  }
}
