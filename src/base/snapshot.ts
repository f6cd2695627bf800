/**
 * Saves and restores the plain state of a stage. A state is numbers, strings, booleans, null,
 * arrays, plain objects, Float64Arrays and Float32Arrays; every number comes back bit for bit,
 * NaN, the infinities and -0 among them, so that a restored stage goes on as if it had never
 * stopped.
 */
export function encodeState(state: unknown): string {
  return JSON.stringify(state, (_key, value) => {
    if (value instanceof Float64Array) return { $f64: Array.from(value, encodeNumber) };
    if (value instanceof Float32Array) return { $f32: hexOf(value) };
    return typeof value === 'number' ? encodeNumber(value) : value;
  });
}

/** The state that `encodeState` saved. Throws on text that it did not write. */
export function decodeState<T>(text: string): T {
  // Looking at every value takes most of the time, and few texts have any of these.
  if (!text.includes('{"$')) return JSON.parse(text);
  return JSON.parse(text, (_key, value) => {
    if (value !== null && typeof value === 'object') {
      if (typeof value.$n === 'string') return Number(value.$n);
      if (Array.isArray(value.$f64)) return Float64Array.from(value.$f64);
      if (typeof value.$f32 === 'string') return fromHex(value.$f32);
    }
    return value;
  });
}

function encodeNumber(value: number): number | { $n: string } {
  if (Number.isFinite(value) && !Object.is(value, -0)) return value;
  return { $n: Object.is(value, -0) ? '-0' : String(value) };
}

const FLOAT_DIGITS = 8;

/** Floats bit for bit: in decimals, as the doubles that they are too, they take twice as much. */
function hexOf({ buffer, byteOffset, length }: Float32Array): string {
  const bits = new Uint32Array(buffer, byteOffset, length);
  return Array.from(bits, (one) => one.toString(16).padStart(FLOAT_DIGITS, '0')).join('');
}

function fromHex(text: string): Float32Array {
  const bits = new Uint32Array(text.length / FLOAT_DIGITS);
  for (let i = 0; i < bits.length; i++)
    bits[i] = Number.parseInt(text.slice(i * FLOAT_DIGITS, (i + 1) * FLOAT_DIGITS), 16);
  return new Float32Array(bits.buffer);
}
