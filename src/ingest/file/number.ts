/** Powers of ten that a double holds exactly. */
const POWER_OF_TEN = Float64Array.from({ length: 23 }, (_, k) => Number(`1e${k}`));
const EXACT_DIGITS = 15;
const PLAIN = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;
const DOT = 46;

/** What the last `readNumber` found besides the value. */
export const lastNumber = { decimals: 0 };

/**
 * The number written in bytes `from` to `to`, spaces around it allowed; NaN when it is none.
 * `mark` is a second decimal mark besides the dot (0: none). Correctly rounded: an integer of up
 * to 15 digits over a power of ten up to 22 has one rounding; all else goes through `Number`.
 */
export function readNumber(bytes: Uint8Array, from: number, to: number, mark: number): number {
  let start = from;
  let end = to;
  while (start < end && isBlank(bytes[start]!)) start++;
  while (end > start && isBlank(bytes[end - 1]!)) end--;
  let at = start;
  const sign = bytes[at];
  if (at < end && (sign === 45 || sign === 43)) at++;
  let mantissa = 0;
  let digits = 0;
  let decimals = 0;
  let pastMark = false;
  for (; at < end; at++) {
    const byte = bytes[at]!;
    const digit = byte - 48;
    if (digit >= 0 && digit <= 9) {
      mantissa = mantissa * 10 + digit;
      digits++;
      if (pastMark) decimals++;
    } else if ((byte === DOT || byte === mark) && !pastMark) pastMark = true;
    else return readGeneral(bytes, start, end, mark);
  }
  if (digits === 0 || digits > EXACT_DIGITS) return readGeneral(bytes, start, end, mark);
  lastNumber.decimals = decimals;
  const value = decimals === 0 ? mantissa : mantissa / POWER_OF_TEN[decimals]!;
  return sign === 45 ? -value : value;
}

/** Any cell that says in words that there is no number. */
export function saysNotFinite(text: string): boolean {
  return /^[+-]?(nan|inf|infinity)$/i.test(text.trim());
}

function readGeneral(bytes: Uint8Array, from: number, to: number, mark: number): number {
  if (to - from > 400) return Number.NaN;
  let text = '';
  for (let i = from; i < to; i++) {
    const byte = bytes[i]!;
    text += byte === mark && mark !== 0 ? '.' : String.fromCharCode(byte);
  }
  if (!PLAIN.test(text)) return Number.NaN;
  lastNumber.decimals = /\.(\d*)/.exec(text)?.[1]?.length ?? 0;
  return Number(text);
}

function isBlank(byte: number): boolean {
  return byte === 32 || byte === 9;
}
