/**
 * Saves and restores the plain state of a stage. A state is numbers, strings, booleans, null,
 * arrays, plain objects, Float64Arrays and Float32Arrays; every double comes back bit for bit,
 * NaN, the infinities and -0 among them, so that a restored stage goes on as if it had never
 * stopped.
 */
export function encodeState(state: unknown): string {
  return JSON.stringify(state, (_key, value) => {
    if (value instanceof Float64Array) return { $f64: Array.from(value, encodeNumber) };
    if (value instanceof Float32Array) return { $f32: Array.from(value, encodeNumber) };
    return typeof value === 'number' ? encodeNumber(value) : value;
  });
}

/** The state that `encodeState` saved. Throws on text that it did not write. */
export function decodeState<T>(text: string): T {
  return JSON.parse(text, (_key, value) => {
    if (value !== null && typeof value === 'object') {
      if (typeof value.$n === 'string') return Number(value.$n);
      if (Array.isArray(value.$f64)) return Float64Array.from(value.$f64);
      if (Array.isArray(value.$f32)) return Float32Array.from(value.$f32);
    }
    return value;
  });
}

function encodeNumber(value: number): number | { $n: string } {
  if (Number.isFinite(value) && !Object.is(value, -0)) return value;
  return { $n: Object.is(value, -0) ? '-0' : String(value) };
}
