import type { LIMITS } from './limits.ts';

/** What is counted besides bounds and refusals; docs/limits.md says what each means. */
export const COUNTED = [
  'packs',
  'readings',
  'duplicates',
  'clock-back',
  'clocks-set-back',
  'refused',
  'packs-waiting',
  'not-acknowledged',
  'held-clock-not-set',
  'held-closing',
  'lost-unacknowledged',
  'topic-not-ours',
  'unknown-well',
  'plain-values',
  'plain-refused',
  'media-type-refused',
  'key-refused',
  'publish-refused',
  'reconnects',
  'not-told',
  'snapshots-damaged',
  'hours-damaged',
  'not-sealed',
] as const;

/** Of what a pack as a whole is refused for. */
export type PackRefusal = 'unreadable' | 'too-large' | 'too-deep' | 'too-many-devices';

type LimitCounter = Exclude<(typeof LIMITS)[keyof typeof LIMITS]['counter'], null>;
export type Counter = (typeof COUNTED)[number] | LimitCounter | `refused:${string}`;

/** Counts that only grow. Counters of plain topics are named by their filter. */
export class Counters {
  readonly #counts = new Map<string, number>();

  add(counter: Counter | `plain:${string}`, by = 1): void {
    if (by === 0) return;
    this.#counts.set(counter, (this.#counts.get(counter) ?? 0) + by);
  }

  of(counter: Counter | `plain:${string}`): number {
    return this.#counts.get(counter) ?? 0;
  }

  /** All that are not 0, by name. */
  all(): Record<string, number> {
    return Object.fromEntries([...this.#counts].toSorted(([a], [b]) => (a < b ? -1 : 1)));
  }
}
