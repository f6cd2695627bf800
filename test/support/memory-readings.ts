import type { Kept, Pack } from '../../src/ports/reading-store.ts';
import type { BootTime, WaitingPack } from '../../src/ports/waiting-packs.ts';
import { MemoryStore } from '../../src/store/memory/store.ts';

/** The store in memory, that can be slow, can refuse, and tells what it was handed. */
export class MemoryReadings extends MemoryStore {
  /** Those with at least one new reading, or with something refused. */
  readonly packs: Pack[] = [];
  /** How many packs each commit held. */
  readonly commits: number[] = [];
  /** Thrown instead of keeping. */
  refuses: Error | null = null;
  /** Waited for before each commit. */
  slow: () => Promise<unknown> = () => Promise.resolve();

  override async keep(packs: readonly Pack[]): Promise<Kept[]> {
    await this.#commit(packs.length);
    const kept = await super.keep(packs);
    this.packs.push(...packs.filter((one, i) => kept[i]!.accepted + one.refused.length > 0));
    return kept;
  }

  override async wait(packs: readonly WaitingPack[]): Promise<Kept[]> {
    await this.#commit(packs.length);
    return super.wait(packs);
  }

  override async settle(boot: BootTime): Promise<void> {
    await this.#commit(0);
    return super.settle(boot);
  }

  async #commit(size: number): Promise<void> {
    await this.slow();
    if (this.refuses !== null) throw this.refuses;
    if (size > 0) this.commits.push(size);
  }
}
