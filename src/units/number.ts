const SIGN = '([+-]?)';
const MIXED = new RegExp(`^${SIGN}(\\d+)(?: +|-)(\\d+)/(\\d+)(?![\\d.,/])`);
const FRACTION = new RegExp(`^${SIGN}(\\d+)/(\\d+)(?![\\d.,/])`);
const GROUPED = new RegExp(`^${SIGN}\\d{1,3}(?:,\\d{3})+(?:\\.\\d+)?(?![\\d.,])`);
const DECIMAL = new RegExp(`^${SIGN}(?:\\d+\\.?\\d*|\\.\\d+)(?:[eE][+-]?\\d+)?(?![\\d.,/])`);

/**
 * Reads the number a text begins with: `38`, `-3.2`, `1.5e-3`, `1,200`, `3/4`, `1 1/2`, `1-1/2`.
 * Null where there is none or where it could be read in two ways (`1,20`, `1.2.3`).
 */
export function leadingNumber(text: string): { value: number; rest: string } | null {
  const mixed = MIXED.exec(text);
  if (mixed !== null) {
    const [found, sign, whole, top, bottom] = mixed;
    return finite(text, found, signed(sign, Number(whole) + Number(top) / Number(bottom)));
  }
  const fraction = FRACTION.exec(text);
  if (fraction !== null) {
    const [found, sign, top, bottom] = fraction;
    return finite(text, found, signed(sign, Number(top) / Number(bottom)));
  }
  const plain = GROUPED.exec(text) ?? DECIMAL.exec(text);
  if (plain === null) return null;
  return finite(text, plain[0], Number(plain[0].replaceAll(',', '')));
}

const signed = (sign: string | undefined, size: number) => (sign === '-' ? -size : size);

function finite(text: string, found: string, value: number) {
  if (!Number.isFinite(value)) return null;
  const rest = text.slice(found.length).trim();
  // What follows a number is a unit or nothing: a second number makes both doubtful.
  return /^[\d.,+-]/.test(rest) ? null : { value, rest };
}
