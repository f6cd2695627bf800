/** A deep copy of plain state: numbers, arrays, plain objects and Float64Arrays. */
export function copyOf<T>(state: T): T {
  if (state instanceof Float64Array) return state.slice() as T;
  if (Array.isArray(state)) return state.map(copyOf) as T;
  if (state === null || typeof state !== 'object') return state;
  return Object.fromEntries(Object.entries(state).map(([key, one]) => [key, copyOf(one)])) as T;
}
