/** The power of ten of the first digit after rounding to so many digits. */
function place(value: number, digits: number): number {
  const text = Math.abs(value).toExponential(digits - 1);
  return Number(text.slice(text.indexOf('e') + 1));
}

/** A number rounded at a power of ten, its zeros kept, none behind the point it does not have. */
function atPlace(value: number, power: number): string {
  const step = 10 ** power;
  const rounded = power > 0 ? Math.round(value / step) * step : value;
  const text = rounded.toFixed(Math.max(0, -power));
  return /[1-9]/.test(text) ? text : text.replace('-', '');
}

/** A number with so many significant digits, zeros at its end kept: `2.0`, `0.60`, `120`. */
export function withDigits(value: number, digits: number): string {
  if (!Number.isFinite(value)) return String(value);
  return value === 0 ? '0' : atPlace(value, place(value, digits) - digits + 1);
}

/** A number that ends where the second digit of its uncertainty stands (GUM 7.2.6). */
export function atSpread(value: number, spread: number): string {
  if (!Number.isFinite(value) || !(spread > 0) || !Number.isFinite(spread)) {
    return withDigits(value, 4);
  }
  return atPlace(value, place(spread, 2) - 1);
}
