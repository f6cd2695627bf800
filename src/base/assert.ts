/** Stops the program on a mistake of the programmer; data from outside never comes here. */
export function assert(holds: boolean, message: string): asserts holds {
  if (!holds) throw new Error(`assertion failed: ${message}`);
}
