import type { SERVER_COUNTERS } from './limits.ts';
import type { ServerProblem } from './problems.ts';

type OfLimits = NonNullable<(typeof SERVER_COUNTERS)[keyof typeof SERVER_COUNTERS]>;
type Counted = OfLimits | `http:${ServerProblem}`;

/** Whom the interface turned away and why, since the start; docs/limits.md says what each means. */
export class ServerCounts {
  readonly #counts = new Map<Counted, number>();

  add(counter: Counted): void {
    this.#counts.set(counter, (this.#counts.get(counter) ?? 0) + 1);
  }

  /** All that are not 0, by name. */
  all(): Record<string, number> {
    return Object.fromEntries([...this.#counts].toSorted(([a], [b]) => (a < b ? -1 : 1)));
  }
}
