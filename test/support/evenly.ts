import fc from 'fast-check';

/**
 * Numbers spread evenly from one to another. `fc.double` draws every size alike: from zero on most
 * of what it gives is next to nothing.
 */
export const evenly = (low: number, high: number): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: 100_000 }).map((part) => low + ((high - low) * part) / 100_000);
