import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lastNumber, readNumber, saysNotFinite } from './number.ts';

const read = (text: string, mark = 0) => {
  const bytes = new TextEncoder().encode(text);
  return readNumber(bytes, 0, bytes.length, mark);
};

describe('readNumber', () => {
  it('gives the double that Number gives, for decimals of every length', () => {
    fc.assert(
      fc.property(
        fc.bigInt({ min: 0n, max: 10n ** 20n }),
        fc.nat(24),
        fc.boolean(),
        (n, k, minus) => {
          const digits = n.toString().padStart(k + 1, '0');
          const split = digits.length - k;
          const text = `${minus ? '-' : ''}${digits.slice(0, split)}.${digits.slice(split)}`;
          expect(Object.is(read(text), Number(text))).toBe(true);
          expect(lastNumber.decimals).toBe(k);
        },
      ),
      { numRuns: 2000 },
    );
  });

  it('gives the double that Number gives, as printed by other programs', () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
        expect(read(String(value))).toBe(value + 0);
      }),
    );
  });

  it('takes a sign, a bare point, an exponent, blanks around and a decimal comma', () => {
    expect(['+1.5', '.5', '5.', '-2e-3', ' 7\t', '1E3'].map((text) => read(text))).toEqual([
      1.5, 0.5, 5, -0.002, 7, 1000,
    ]);
    expect(read('58,43', 44)).toBe(58.43);
    expect(read('1,5e2', 44)).toBe(150);
  });

  it('is NaN for all else', () => {
    const wrong = [
      '',
      '.',
      '-',
      'e5',
      '1.2.3',
      '1,5',
      '0x10',
      '1 2',
      '--1',
      'NaN',
      '1e',
      '5psi',
      '١',
    ];
    expect(wrong.map((text) => read(text))).toEqual(wrong.map(() => Number.NaN));
    expect(read('1.234,5', 44)).toBeNaN();
  });

  it('knows the words for a value that is not finite', () => {
    expect(['NaN', ' inf', '-Infinity', 'nan'].every(saysNotFinite)).toBe(true);
    expect(['none', '', 'n/a', '5'].some(saysNotFinite)).toBe(false);
  });
});
