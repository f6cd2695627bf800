import type { Clock } from '../../ports/clock.ts';
import type { Arrived } from '../../ports/reading-source.ts';
import type { Kept, Pack, ReadingStore } from '../../ports/reading-store.ts';
import type { BootTime, WaitingPack, WaitingPacks } from '../../ports/waiting-packs.ts';
import type { Counters } from '../counters.ts';
import type { Limits } from '../limits.ts';
import { BootTimes } from './boot-times.ts';
import type { ClockWatch } from './clock-watch.ts';

export interface KeeperOptions {
  store: Pick<ReadingStore, 'keep'>;
  /** Kept in the same place, to be as safe. */
  waiting: WaitingPacks;
  clock: Clock;
  counters: Counters;
  limits: Limits;
  /** Tells clocks of devices that were set back; without it none are. */
  clocks?: ClockWatch;
  /** After a pack is kept as readings, in the order kept. */
  onKept?: (pack: Pack, kept: Kept) => void;
}

/** A pack as the well has it, and what of it is by a clock set back. */
interface Judged {
  ready: Pack;
  apart: Pack | null;
}

const NOTHING: Kept = { accepted: 0, duplicate: 0, earliestS: Number.NaN };

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
    const { clocks, counters } = this.#options;
    const ready: { pack: Pack; at: number; byClock: boolean }[] = [];
    const waits: { pack: WaitingPack; at: number }[] = [];
    packs.forEach((pack, at) => {
      clocks?.note(pack);
      if (pack.bootBeganS !== null) this.#boots.anchor(pack);
      const timed = pack.uptimeS === null ? { ready: pack } : this.#boots.timed(pack);
      if ('ready' in timed) ready.push({ pack: timed.ready, at, byClock: pack.uptimeS === null });
      else waits.push({ pack: timed.waits, at });
    });
    const kept = new Array<Kept>(packs.length);
    const parts = ready.map(({ pack, byClock }) =>
      byClock && clocks ? clocks.judge(pack) : { ready: pack, apart: null },
    );
    await clocks?.save();
    const asReadings = await this.#readings(parts);
    ready.forEach(({ at }, i) => {
      kept[at] = asReadings[i]!;
    });
    const asWaiting = await this.#waits(waits.map(({ pack }) => pack));
    waits.forEach(({ at }, i) => {
      kept[at] = asWaiting[i]!;
    });
    counters.add('packs', packs.length);
    if (packs.length > 0) counters.add('commits');
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
        .map((one) => ({ ready: this.#boots.atBoot(one, boot), apart: null }));
      for (let at = 0; at < packs.length; at += limits.commitPacks) {
        await this.#readings(packs.slice(at, at + limits.commitPacks));
      }
      await waiting.settle(boot);
      this.#boots.noted(boot);
      counters.add(boot.early ? 'settled-early' : 'settled');
    }
    return true;
  }

  /** What goes apart is kept in the same commit; a pack is known again by its well's own part. */
  async #readings(parts: readonly Judged[]): Promise<Kept[]> {
    const { store, counters, onKept } = this.#options;
    if (parts.length === 0) return [];
    const aside = parts.flatMap(({ apart }) => (apart === null ? [] : [apart]));
    const kept = await store.keep([...parts.map(({ ready }) => ready), ...aside]);
    let next = parts.length;
    return parts.map(({ ready, apart }, i) => {
      const own = kept[i]!;
      const other = apart === null ? NOTHING : kept[next++]!;
      const accepted = own.accepted + other.accepted;
      const duplicate = own.duplicate + other.duplicate;
      counters.add('readings', accepted);
      counters.add('clock-back', other.accepted);
      counters.add('duplicates', duplicate);
      onKept?.(ready, own);
      return { accepted, duplicate, earliestS: own.earliestS };
    });
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
