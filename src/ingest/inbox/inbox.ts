import { type Arrived, type Hold, type Inbox, InboxHolds } from '../../ports/reading-source.ts';
import { type Kept, type Pack, StoreRefuses } from '../../ports/reading-store.ts';
import { Keeper, type KeeperOptions } from './keeper.ts';

const LOOK_EVERY_MS = 250;

export interface InboxOptions extends KeeperOptions {
  /** Nothing is taken while the clock stands before this: it is not set yet [Unix s]. */
  notBeforeS?: number;
  /**
   * Throws while the store would refuse. Once it has refused this is tried now and then, so that
   * nobody has to send to find out whether it is over.
   */
  tryWrite?: () => void;
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
 * Gathers packs of all sources while a commit runs, and keeps them in the next: one sync of the
 * disk for all. Where the store refuses, nobody is acknowledged, and the next try is made after a
 * while.
 */
export class GroupInbox implements Inbox {
  readonly #options: InboxOptions;
  readonly #keeper: Keeper;
  readonly #timer: NodeJS.Timeout;
  #queue: Queued[] = [];
  #bytes = 0;
  #waiters: (() => void)[] = [];
  #running: Promise<void> | null = null;
  #trouble: Error | null = null;
  #tryAgainMs = 0;
  #closing = false;

  private constructor(options: InboxOptions, keeper: Keeper) {
    this.#options = options;
    this.#keeper = keeper;
    this.#timer = setInterval(() => this.#look(), LOOK_EVERY_MS).unref();
  }

  /** An inbox that knows which packs wait. */
  static async open(options: InboxOptions): Promise<GroupInbox> {
    return new GroupInbox(options, await Keeper.open(options));
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
    do {
      // What is handed in together, as by one read of a socket, goes into one commit; and whatever
      // else the service does has its turn between two.
      await new Promise((resolve) => setImmediate(resolve));
      const batch = this.#queue.splice(0, this.#options.limits.commitPacks);
      try {
        await this.#keepAll(batch);
        const settled = await this.#keeper.settle();
        if (batch.length > 0 || settled || this.#writes()) this.#over();
      } catch (error) {
        this.#refuse([...batch, ...this.#queue.splice(0)], error as Error);
      }
      this.#wake();
    } while (this.#queue.length > 0);
  }

  /** Whether the store, which refused, was seen to write without a pack. */
  #writes(): boolean {
    const { tryWrite } = this.#options;
    if (this.#trouble === null || tryWrite === undefined) return false;
    tryWrite();
    return true;
  }

  /** A pack that the store cannot keep for a fault of ours is let go alone, not with its batch. */
  async #keepAll(batch: readonly Queued[]): Promise<void> {
    try {
      const kept = await this.#keeper.keep(batch.map(({ pack }) => pack));
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

/** Memory that a pack takes, roughly: a reading is two numbers and a byte. */
function sizeOf({ readings, refused }: Pack): number {
  return 200 + 17 * readings.count + 50 * refused.length;
}
