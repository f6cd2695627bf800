import type { Study } from '../model/study.ts';
import type { Well } from '../model/well.ts';
import type { Kept, Pack } from '../ports/reading-store.ts';
import type { LivingEvent } from './events.ts';
import { type LivingPorts, LivingWell } from './living-well.ts';

/** A well whose analysis threw is tried again after this, doubled each time up to an hour, s. */
const AGAIN_S = 60;
const LONGEST_AGAIN_S = 3600;

interface Entry {
  wellId: string;
  living: LivingWell | null;
  /** Why it does not live, or what its analysis last threw. */
  says: string | null;
  failures: number;
  againS: number;
  busy: boolean;
  keptReadings: number;
  retired: boolean;
  /** What it replaced has come to rest, and what it waits for has come. */
  ready: Promise<unknown>;
}

/** How a well of the service fares. */
export interface WellState {
  wellId: string;
  state: 'alive' | 'failed' | 'no-well-file';
  says: string | null;
  /** How often its analysis has thrown since it was put here. */
  failures: number;
  /** Readings kept since the service started. */
  keptReadings: number;
}

/**
 * The wells of one service, each with its own state. What stops one does not stop the others, and
 * its readings are kept all the same: they are analysed once it lives again.
 */
export class LivingWells {
  readonly #ports: LivingPorts;
  readonly #codeVersion: string;
  readonly #entries = new Map<string, Entry>();
  #breath: Promise<void> = Promise.resolve();

  constructor(ports: LivingPorts, codeVersion: string) {
    this.#ports = ports;
    this.#codeVersion = codeVersion;
  }

  /** A well comes to life, or goes on with an edited file: then its readings are read again. */
  put(well: Well, told: string[] = []): LivingWell {
    const before = this.get(well.id);
    const entry = this.#renew(well.id);
    const tell = (event: LivingEvent): void => {
      if (!entry.retired) this.#ports.tell(event);
    };
    const ports = { ...this.#ports, tell, breathe: () => this.#breathe(entry) };
    const how = { codeVersion: this.#codeVersion, told };
    entry.living = new LivingWell(well, ports, how);
    if (before !== null) entry.living.takeOver(before);
    entry.says = null;
    return entry.living;
  }

  /** A well whose file cannot be used, and why: its readings are kept, and wait. */
  putBroken(wellId: string, says: string): void {
    this.#renew(wellId).says = says;
    this.#ports.tell({ kind: 'trouble', well: wellId, says });
  }

  get(wellId: string): LivingWell | null {
    return this.#entries.get(wellId)?.living ?? null;
  }

  /** The study of all that is kept, once a past that is being handed in is there; null without. */
  async study(wellId: string): Promise<Study | null> {
    const entry = this.#entries.get(wellId);
    await entry?.ready;
    return entry?.living?.study() ?? null;
  }

  /**
   * The well goes on once this has come to an end, well or badly: a past that is being handed in,
   * which would be late, and read twice, where the present was there first.
   */
  holdUntil(wellId: string, end: Promise<unknown>): void {
    const entry = this.#entries.get(wellId);
    if (entry === undefined) return;
    const ended = end.catch(() => undefined);
    entry.ready = Promise.all([entry.ready, ended]);
  }

  /** Notes a pack that the store has kept. Quick, and never throws. */
  kept(pack: Pack, kept: Kept): void {
    const entry = this.#entries.get(pack.wellId) ?? this.#renew(pack.wellId);
    entry.keptReadings += kept.accepted;
    entry.living?.kept(pack, kept);
  }

  /** Every well that is not still at it goes on; resolves once those are done. Never throws. */
  async advance(): Promise<void> {
    await Promise.all([...this.#entries.values()].map((entry) => this.#advance(entry)));
  }

  states(): WellState[] {
    return [...this.#entries.values()].map(({ wellId, living, says, failures, keptReadings }) => ({
      wellId,
      state: living === null ? 'no-well-file' : says === null ? 'alive' : 'failed',
      says,
      failures,
      keptReadings,
    }));
  }

  /** Each well keeps where it stands; one that is at it stops there, and reads a little again. */
  async close(): Promise<void> {
    const all = [...this.#entries.values()];
    for (const entry of all) entry.retired ||= entry.busy;
    await Promise.all(all.map(({ living }) => living?.close().catch(() => undefined)));
  }

  async #advance(entry: Entry): Promise<void> {
    const { living } = entry;
    const nowS = this.#ports.clock.nowS();
    if (living === null || entry.busy) return;
    if (entry.failures > 0 && entry.says !== null && nowS < entry.againS) return;
    entry.busy = true;
    try {
      await entry.ready;
      await living.advance();
      entry.says = null;
    } catch (error) {
      if (!entry.retired) this.#failed(entry, error);
    } finally {
      entry.busy = false;
    }
  }

  #failed(entry: Entry, error: unknown): void {
    const says = error instanceof Error ? error.message : String(error);
    const waitS = Math.min(AGAIN_S * 2 ** entry.failures, LONGEST_AGAIN_S);
    entry.failures += 1;
    entry.says = says;
    entry.againS = this.#ports.clock.nowS() + waitS;
    this.#ports.tell({ kind: 'trouble', well: entry.wellId, says });
  }

  #renew(wellId: string): Entry {
    const before = this.#entries.get(wellId);
    if (before !== undefined) before.retired = true;
    // What the old one waited for, the new one waits for, too.
    const ready = Promise.all([before?.ready, before?.living?.close().catch(() => undefined)]);
    const fresh: Entry = {
      wellId,
      living: null,
      says: 'no well file',
      failures: 0,
      againS: NaN,
      busy: false,
      keptReadings: before?.keptReadings ?? 0,
      retired: false,
      ready,
    };
    this.#entries.set(wellId, fresh);
    return fresh;
  }

  /** One slice of one well at a time, and between two whatever else waits has its turn. */
  async #breathe(entry: Entry): Promise<void> {
    this.#breath = this.#breath.then(this.#ports.breathe);
    await this.#breath;
    if (entry.retired) throw new Error('stopped, or replaced by an edited file');
  }
}
