/** Numbers from 0 to below 1, the same for the same seed. */
export function evenNumbers(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

/** Close to normal, standard deviation 1, the same for the same seed: sums of twelve, less six. */
export function normalNumbers(seed: number): () => number {
  const even = evenNumbers(seed);
  return () => Array.from({ length: 12 }, even).reduce((sum, u) => sum + u, -6);
}
