import { PSI_PA } from '../constants.ts';
import type { Draw } from './draw.ts';

const REFERENCE_PA = 50 * PSI_PA;

/** The taps of the house: which are open now, and until when. */
export class Taps {
  /** Sum over open taps of flow / sqrt(p), m3/s/Pa^0.5. */
  conductance = 0;
  /** Held shut while someone does a test. */
  shut = false;
  /** Nobody draws while someone does a test; a cistern that fills by itself does not ask. */
  peopleWait = false;
  readonly #waiting: Draw[] = [];
  readonly #open: { conductance: number; left: number; byTime: boolean }[] = [];

  /** Adds draws of another day. */
  add(draws: readonly Draw[]): void {
    this.#waiting.push(...draws);
    this.#waiting.sort((p, q) => p.startS - q.startS);
  }

  /** Opens what is due. While shut, what is due waits. */
  openDue(timeS: number): void {
    if (this.shut) return;
    let next = this.#next();
    while (next !== undefined && next.startS <= timeS) {
      this.#waiting.splice(this.#waiting.indexOf(next), 1);
      const conductance = next.flowM3PerS / Math.sqrt(REFERENCE_PA);
      this.#open.push({ conductance, left: next.amount, byTime: next.endsBy === 'time' });
      this.#sum();
      next = this.#next();
    }
  }

  #next(): Draw | undefined {
    return this.peopleWait
      ? this.#waiting.find(({ what }) => what === 'cistern')
      : this.#waiting[0];
  }

  /** Longest step, s, that ends no later than the next opening or closing. */
  longestStepS(timeS: number, pressurePa: number): number {
    let longest = Number.POSITIVE_INFINITY;
    const next = this.#next();
    if (next !== undefined && !this.shut) longest = Math.max(next.startS - timeS, 1e-3);
    const root = Math.sqrt(Math.max(pressurePa, 1));
    for (const tap of this.#open) {
      const left = tap.byTime ? tap.left : tap.left / (tap.conductance * root);
      if (left < longest) longest = Math.max(left, 1e-3);
    }
    return longest;
  }

  /** Takes note of one step in which `volumeM3` left through all open taps. */
  spend(dtS: number, volumeM3: number): void {
    const open = this.#open;
    if (open.length === 0) return;
    const perConductance = volumeM3 / this.conductance;
    let closed = false;
    for (let i = open.length - 1; i >= 0; i--) {
      const tap = open[i]!;
      tap.left -= tap.byTime ? dtS : perConductance * tap.conductance;
      if (tap.left > (tap.byTime ? 1e-6 : 1e-9)) continue;
      open.splice(i, 1);
      closed = true;
    }
    if (closed) this.#sum();
  }

  get anyOpen(): boolean {
    return this.#open.length > 0;
  }

  closeAll(): void {
    this.#open.length = 0;
    this.#sum();
  }

  #sum(): void {
    let sum = 0;
    for (const tap of this.#open) sum += tap.conductance;
    this.conductance = sum;
  }
}
