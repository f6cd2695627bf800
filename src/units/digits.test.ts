import fc from 'fast-check';
import { expect, it } from 'vitest';
import { atSpread, withDigits } from './digits.ts';

it.each([
  [2, 2, '2.0'],
  [0.6, 2, '0.60'],
  [0.0965, 2, '0.097'],
  [0.996, 2, '1.0'],
  [123.4, 2, '120'],
  [-41.26, 3, '-41.3'],
  [0, 2, '0'],
  [1234, 4, '1234'],
  [Number.NaN, 2, 'NaN'],
] as const)('%d with %d digits is %s', (value, digits, text) => {
  expect(withDigits(value, digits)).toBe(text);
});

it('ends a value where the second digit of its uncertainty stands, as the GUM prints them', () => {
  // GUM 7.2.6: 10.057 62 ohm with 27 mohm is 10.058 ohm; H.3: -0.1494 with 0.0041.
  expect(atSpread(10.05762, 0.027)).toBe('10.058');
  expect(atSpread(-0.14937, 0.0041)).toBe('-0.1494');
  expect(atSpread(-8.4e-15, 1)).toBe('0.0');
  expect(atSpread(1234, 210)).toBe('1230');
  expect(atSpread(2.2360679, 0)).toBe('2.236');
});

it('is within half of its last digit', () => {
  const numbers = fc.double({ min: -1e6, max: 1e6, noNaN: true });
  fc.assert(
    fc.property(numbers, fc.integer({ min: 1, max: 6 }), (value, digits) => {
      fc.pre(Math.abs(value) > 1e-9);
      const shown = Number(withDigits(value, digits));
      expect(Math.abs(shown / value - 1)).toBeLessThanOrEqual(0.5 * 10 ** (1 - digits) + 1e-9);
    }),
  );
});
