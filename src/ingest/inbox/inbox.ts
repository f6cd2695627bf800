import type { Clock } from '../../ports/clock.ts';
import { type Arrived, type Hold, type Inbox, InboxHolds } from '../../ports/reading-source.ts';
import {
  type Kept,
  type Pack,
  type ReadingStore,
  StoreRefuses,
} from '../../ports/reading-store.ts';
import type { BootTime, WaitingPack, WaitingPacks } from '../../ports/waiting-packs.ts';
import type { Counters } from '../counters.ts';
import type { Limits } from '../limits.ts';
import { BootTimes } from './boot-times.ts';

const LOOK_EVERY_MS = 250;

export interface InboxOptions {
  store: Pick<ReadingStore, 'keep'>;
  /** Kept in the same place, to be as safe. */
  waiting: WaitingPacks;
  clock: Clock;
  counters: Counters;
  limits: Limits;
  /** Nothing is taken while the clock stands before this: it is not set yet [Unix s]. */
  notBeforeS?: number;
  /** After a pack is kept as readings, in the order kept. */
  onKept?: (pack: Pack, kept: Kept) => void;
  /** Said once when the store begins to refuse, and with null once when it takes again. */
  onTrouble?: (trouble: Error | null) => void;
}

interface Queued {
  pack: Arrived;
  bytes: number;
  /** It has its answer. */
  gone: boolean;
  resolve: (kept: Kept) => void;
  reject: (error: Error) => void;
}

/**
 * Gathers packs of all sources while a commit runs, and keeps them in the next: one sync of the disk
 * for all. Where the store refuses, nobody is acknowledged, and the next try is made after a while.
 */
export class GroupInbox implements Inbox {
  readonly #options: InboxOptions;
  readonly #boots: BootTimes;
  readonly #timer: NodeJS.Timeout;
  #queue: Queued[] = [];
  #bytes = 0;
  #waiters: (() => void)[] = [];
  #running: Promise<void> | null = null;
  #trouble: Error | null = null;
  #tryAgainMs = 0;
  #due: BootTime[] = [];
  #closing = false;

  private constructor(options: InboxOptions, boots: BootTimes) {
    this.#options = options;
    this.#boots = boots;
    this.#timer = setInterval(() => this.#look(), LOOK_EVERY_MS).unref();
  }

  /** An inbox that knows which packs wait. */
  static async open(options: InboxOptions): Promise<GroupInbox> {
    const known = await options.waiting.boots();
    const waiting = await options.waiting.waiting();
    return new GroupInbox(options, new BootTimes(options, known, waiting));
  }

  get holds(): Hold | null {
    const { clock, limits, notBeforeS = 0 } = this.#options;
    if (this.#closing) return 'closing';
    if (clock.nowS() < notBeforeS) return 'clock-not-set';
    if (this.#trouble !== null && performance.now() < this.#tryAgainMs) return 'store-refuses';
    const full = this.#queue.length >= limits.queuePacks || this.#bytes >= limits.queueBytes;
    return full ? 'full' : null;
  }

  room(): Promise<void> {
    return new Promise((resolve) => {
      this.#waiters.push(resolve);
    });
  }

  take(pack: Arrived): Promise<Kept> {
    const why = this.holds;
    if (why !== null) {
      this.#options.counters.add(`held-${why}`);
      return Promise.reject(new InboxHolds(why));
    }
    return new Promise((resolve, reject) => {
      const bytes = sizeOf(pack);
      this.#queue.push({ pack, bytes, gone: false, resolve, reject });
      this.#bytes += bytes;
      this.#run();
    });
  }

  /** Takes nothing more; resolves once all that it took is kept or refused. */
  async close(): Promise<void> {
    this.#closing = true;
    clearInterval(this.#timer);
    this.#wake();
    await this.#running;
  }

  #look(): void {
    this.#wake();
    if (this.holds === null) this.#run();
  }

  /** Takes packs off the count of those under way. */
  #let(batch: readonly Queued[]): void {
    for (const one of batch) {
      one.gone = true;
      this.#bytes -= one.bytes;
    }
  }

  #wake(): void {
    const waiters = this.#waiters;
    this.#waiters = [];
    for (const resolve of waiters) resolve();
  }

  #run(): void {
    this.#running ??= this.#work().finally(() => {
      this.#running = null;
      if (this.#queue.length > 0) this.#run();
    });
  }

  async #work(): Promise<void> {
    // What is handed in together, as by one read of a socket, goes into one commit.
    await new Promise((resolve) => setImmediate(resolve));
    do {
      const batch = this.#queue.splice(0, this.#options.limits.commitPacks);
      try {
        await this.#keepAll(batch);
        const settled = await this.#settleDue();
        if (batch.length > 0 || settled) this.#over();
      } catch (error) {
        this.#refuse([...batch, ...this.#queue.splice(0)], error as Error);
      }
      this.#wake();
    } while (this.#queue.length > 0);
  }

  /** A pack that the store cannot keep for a fault of ours is let go alone, not with its batch. */
  async #keepAll(batch: readonly Queued[]): Promise<void> {
    try {
      const kept = await this.#commit(batch.map(({ pack }) => pack));
      this.#let(batch);
      batch.forEach(({ resolve }, i) => {
        resolve(kept[i]!);
      });
    } catch (error) {
      if (error instanceof StoreRefuses) throw error;
      if (batch.length > 1) for (const one of batch) await this.#keepAll([one]);
      else this.#giveUp(batch, error as Error);
    }
  }

  async #commit(packs: readonly Arrived[]): Promise<Kept[]> {
    const { store, counters, onKept } = this.#options;
    const ready: { pack: Pack; at: number }[] = [];
    const waits: { pack: WaitingPack; at: number }[] = [];
    packs.forEach((pack, at) => {
      if (pack.bootBeganS !== null) this.#anchor(pack);
      const timed = pack.uptimeS === null ? { ready: pack } : this.#boots.timed(pack);
      if ('ready' in timed) ready.push({ pack: timed.ready, at });
      else waits.push({ pack: timed.waits, at });
    });
    const kept = new Array<Kept>(packs.length);
    if (ready.length > 0) {
      const all = await store.keep(ready.map(({ pack }) => pack));
      ready.forEach(({ pack, at }, i) => {
        kept[at] = all[i]!;
        this.#count(all[i]!);
        onKept?.(pack, all[i]!);
      });
    }
    if (waits.length > 0) {
      const all = await this.#options.waiting.wait(waits.map(({ pack }) => pack));
      waits.forEach(({ pack, at }, i) => {
        kept[at] = all[i]!;
        if (all[i]!.duplicate > 0) return;
        counters.add('packs-waiting');
        this.#boots.noteWaiting(pack);
      });
    }
    counters.add('packs', packs.length);
    if (packs.length > 0) counters.add('commits');
    return kept;
  }

  #anchor(pack: Arrived): void {
    const boot = this.#boots.anchor(pack);
    if (boot !== null) this.#due.push(boot);
  }

  /** Packs whose boot is known by now become readings, and wait no more. */
  async #settleDue(): Promise<boolean> {
    const { store, clock, counters, limits, onKept } = this.#options;
    for (const boot of this.#boots.due(clock.nowS())) {
      this.#due.push(boot);
      if (boot.early) counters.add('settled-early');
    }
    if (this.#due.length === 0) return false;
    const waiting = await this.#options.waiting.waiting();
    for (let boot = this.#due[0]; boot !== undefined; boot = this.#due[0]) {
      const of = waiting.filter((pack) => isOf(pack, boot!));
      for (let at = 0; at < of.length; at += limits.commitPacks) {
        const packs = of
          .slice(at, at + limits.commitPacks)
          .map((pack) => this.#boots.atBoot(pack, boot!));
        const kept = await store.keep(packs);
        packs.forEach((pack, i) => {
          this.#count(kept[i]!);
          onKept?.(pack, kept[i]!);
        });
      }
      await this.#options.waiting.settle(boot);
      counters.add('settled');
      this.#due.shift();
    }
    return true;
  }

  #count({ accepted, duplicate }: Kept): void {
    this.#options.counters.add('readings', accepted);
    this.#options.counters.add('duplicates', duplicate);
  }

  /** Nobody in the batch, nor behind it, is acknowledged. */
  #refuse(batch: readonly Queued[], error: Error): void {
    this.#tryAgainMs = performance.now() + this.#options.limits.tryAgainS * 1000;
    if (this.#trouble === null) this.#options.onTrouble?.(error);
    this.#trouble = error;
    this.#giveUp(
      batch.filter(({ gone }) => !gone),
      error,
    );
  }

  #giveUp(batch: readonly Queued[], error: Error): void {
    this.#let(batch);
    this.#options.counters.add('not-acknowledged', batch.length);
    for (const { reject } of batch) reject(error);
  }

  #over(): void {
    if (this.#trouble === null) return;
    this.#trouble = null;
    this.#options.onTrouble?.(null);
  }
}

const isOf = (pack: WaitingPack, { wellId, device, boot }: BootTime) =>
  pack.wellId === wellId && pack.device === device && pack.boot === boot;

/** Memory that a pack takes, roughly: a reading is two numbers and a byte. */
function sizeOf({ readings, refused }: Pack): number {
  return 200 + 17 * readings.count + 50 * refused.length;
}
