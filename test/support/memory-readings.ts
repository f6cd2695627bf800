import type { Kept, Pack, ReadingStore } from '../../src/ports/reading-store.ts';
import type { BootTime, WaitingPack, WaitingPacks } from '../../src/ports/waiting-packs.ts';

/** Keeps packs in memory as the port says; can be slow, and can refuse. */
export class MemoryReadings implements Pick<ReadingStore, 'keep'>, WaitingPacks {
  /** Those with at least one new reading, or with something refused. */
  readonly packs: Pack[] = [];
  /** How many packs each commit held. */
  readonly commits: number[] = [];
  /** Thrown instead of keeping. */
  refuses: Error | null = null;
  /** Waited for before each commit. */
  slow: () => Promise<unknown> = () => Promise.resolve();
  #seen = new Set<string>();
  #waiting: WaitingPack[] = [];
  readonly #boots = new Map<string, BootTime>();

  async keep(packs: readonly Pack[]): Promise<Kept[]> {
    await this.#commit(packs.length);
    return packs.map((pack) => this.#take(pack));
  }

  async wait(packs: readonly WaitingPack[]): Promise<Kept[]> {
    await this.#commit(packs.length);
    return packs.map((pack) => {
      const { count } = pack.readings;
      const same = this.#waiting.some((one) => keyOf(one) === keyOf(pack) && one.seq !== null);
      if (!same) this.#waiting.push(pack);
      const [accepted, duplicate] = same ? [0, count] : [count, 0];
      return { accepted, duplicate, earliestS: Number.NaN };
    });
  }

  waiting(): Promise<WaitingPack[]> {
    return Promise.resolve([...this.#waiting]);
  }

  async settle(boot: BootTime): Promise<void> {
    await this.#commit(0);
    this.#waiting = this.#waiting.filter((one) => bootOf(one) !== bootOf(boot));
    this.#boots.set(bootOf(boot), boot);
  }

  boots(): Promise<BootTime[]> {
    return Promise.resolve([...this.#boots.values()]);
  }

  /** Everything kept, one entry a reading, by time. */
  all(): { device: string; channel: number; timeS: number; value: number }[] {
    return this.packs
      .flatMap(({ device, readings }) =>
        Array.from({ length: readings.count }, (_, i) => ({
          device,
          channel: readings.channel[i]!,
          timeS: readings.timeS[i]!,
          value: readings.value[i]!,
        })),
      )
      .toSorted((a, b) => a.timeS - b.timeS);
  }

  async #commit(size: number): Promise<void> {
    await this.slow();
    if (this.refuses !== null) throw this.refuses;
    if (size > 0) this.commits.push(size);
  }

  #take(pack: Pack): Kept {
    const { readings, refused } = pack;
    const kept: Kept = { accepted: 0, duplicate: 0, earliestS: Number.NaN };
    const numbered = pack.boot !== null && pack.seq !== null;
    const known = numbered && !this.#isNew(keyOf(pack));
    const fresh: number[] = [];
    for (let i = 0; i < readings.count; i++) {
      const timeS = readings.timeS[i]!;
      const own = `${pack.wellId}|${pack.device}|${readings.channel[i]}|${timeS}`;
      if (known || !(this.#isNew(own) || numbered)) kept.duplicate++;
      else {
        kept.accepted++;
        fresh.push(i);
        if (!(kept.earliestS <= timeS)) kept.earliestS = timeS;
      }
    }
    if (fresh.length > 0 || (refused.length > 0 && !known)) {
      this.packs.push({
        ...pack,
        readings: {
          count: fresh.length,
          timeS: Float64Array.from(fresh, (i) => readings.timeS[i]!),
          channel: Uint8Array.from(fresh, (i) => readings.channel[i]!),
          value: Float64Array.from(fresh, (i) => readings.value[i]!),
        },
      });
    }
    return kept;
  }

  #isNew(key: string): boolean {
    const before = this.#seen.size;
    return this.#seen.add(key).size > before;
  }
}

const bootOf = ({
  wellId,
  device,
  boot,
}: {
  wellId: string;
  device: string;
  boot: number | null;
}) => `${wellId}|${device}|${boot}`;
const keyOf = (pack: Pack) => `${bootOf(pack)}|${pack.seq}`;
