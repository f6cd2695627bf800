import type { Clock } from '../../ports/clock.ts';
import type { Arrived } from '../../ports/reading-source.ts';
import type { Kept, Pack, ReadingStore } from '../../ports/reading-store.ts';
import type { BootTime, WaitingPack, WaitingPacks } from '../../ports/waiting-packs.ts';
import type { Counters } from '../counters.ts';
import type { Limits } from '../limits.ts';
import { BootTimes } from './boot-times.ts';

export interface KeeperOptions {
  store: Pick<ReadingStore, 'keep'>;
  /** Kept in the same place, to be as safe. */
  waiting: WaitingPacks;
  clock: Clock;
  counters: Counters;
  limits: Limits;
  /** After a pack is kept as readings, in the order kept. */
  onKept?: (pack: Pack, kept: Kept) => void;
}

/** Puts packs into the store: as readings, or to wait until it is known when their boot began. */
export class Keeper {
  readonly #options: KeeperOptions;
  readonly #boots: BootTimes;

  private constructor(options: KeeperOptions, boots: BootTimes) {
    this.#options = options;
    this.#boots = boots;
  }

  /** A keeper that knows which packs wait. */
  static async open(options: KeeperOptions): Promise<Keeper> {
    const known = await options.waiting.boots();
    const waiting = await options.waiting.waiting();
    return new Keeper(options, new BootTimes(options, known, waiting));
  }

  /** Resolves once all of them are durably kept. */
  async keep(packs: readonly Arrived[]): Promise<Kept[]> {
    const ready: { pack: Pack; at: number }[] = [];
    const waits: { pack: WaitingPack; at: number }[] = [];
    packs.forEach((pack, at) => {
      if (pack.bootBeganS !== null) this.#boots.anchor(pack);
      const timed = pack.uptimeS === null ? { ready: pack } : this.#boots.timed(pack);
      if ('ready' in timed) ready.push({ pack: timed.ready, at });
      else waits.push({ pack: timed.waits, at });
    });
    const kept = new Array<Kept>(packs.length);
    const asReadings = await this.#readings(ready.map(({ pack }) => pack));
    ready.forEach(({ at }, i) => {
      kept[at] = asReadings[i]!;
    });
    const asWaiting = await this.#waits(waits.map(({ pack }) => pack));
    waits.forEach(({ at }, i) => {
      kept[at] = asWaiting[i]!;
    });
    this.#options.counters.add('packs', packs.length);
    if (packs.length > 0) this.#options.counters.add('commits');
    return kept;
  }

  /** Packs whose boot is known by now become readings; whether there was anything to do. */
  async settle(): Promise<boolean> {
    const { waiting, clock, counters, limits } = this.#options;
    const due = this.#boots.due(clock.nowS());
    if (due.length === 0) return false;
    const all = await waiting.waiting();
    for (const boot of due) {
      const packs = all
        .filter((pack) => isOf(pack, boot))
        .map((one) => this.#boots.atBoot(one, boot));
      for (let at = 0; at < packs.length; at += limits.commitPacks) {
        await this.#readings(packs.slice(at, at + limits.commitPacks));
      }
      await waiting.settle(boot);
      this.#boots.noted(boot);
      counters.add(boot.early ? 'settled-early' : 'settled');
    }
    return true;
  }

  async #readings(packs: readonly Pack[]): Promise<Kept[]> {
    const { store, counters, onKept } = this.#options;
    if (packs.length === 0) return [];
    const kept = await store.keep(packs);
    packs.forEach((pack, i) => {
      const one = kept[i]!;
      counters.add('readings', one.accepted);
      counters.add('duplicates', one.duplicate);
      onKept?.(pack, one);
    });
    return kept;
  }

  async #waits(packs: readonly WaitingPack[]): Promise<Kept[]> {
    if (packs.length === 0) return [];
    const kept = await this.#options.waiting.wait(packs);
    packs.forEach((pack, i) => {
      if (kept[i]!.duplicate > 0) return;
      this.#options.counters.add('packs-waiting');
      this.#boots.noteWaiting(pack);
    });
    return kept;
  }
}

const isOf = (pack: WaitingPack, { wellId, device, boot }: BootTime) =>
  pack.wellId === wellId && pack.device === device && pack.boot === boot;
