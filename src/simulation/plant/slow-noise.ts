import type { Random } from '../random.ts';

/**
 * Noise with a memory, on a grid of its own so that it does not depend on the plant's steps:
 * first-order autoregression of unit variance at whole periods, straight lines between.
 */
export class SlowNoise {
  readonly #random: Random;
  readonly #periodS: number;
  readonly #memory: number;
  #index = Number.NEGATIVE_INFINITY;
  #before = 0;
  #after = 0;

  constructor(random: Random, periodS: number, memoryS: number) {
    this.#random = random;
    this.#periodS = periodS;
    this.#memory = Math.exp(-periodS / memoryS);
    this.#after = random.normal();
  }

  /** Value at a time; times never go back. */
  at(timeS: number): number {
    const place = timeS / this.#periodS;
    const index = Math.floor(place);
    if (!(index - this.#index < 1000)) this.#index = index - 1;
    while (this.#index < index) {
      this.#before = this.#after;
      const fresh = Math.sqrt(1 - this.#memory * this.#memory) * this.#random.normal();
      this.#after = this.#memory * this.#before + fresh;
      this.#index++;
    }
    return this.#before + (place - index) * (this.#after - this.#before);
  }
}
