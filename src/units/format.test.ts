import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { displayUnit, formatEstimate, formatValue } from './format.ts';
import { parseQuantity } from './parse.ts';
import { converterFor } from './table.ts';

const gal = converterFor('gal')?.scale ?? Number.NaN;
const psi = converterFor('psi')?.scale ?? Number.NaN;
const gpm = converterFor('gpm')?.scale ?? Number.NaN;

describe('estimates', () => {
  // The rule: ± is two standard uncertainties, one significant digit, two when the first is 1.
  it.each([
    [4481, 56, '4,480 ± 110 gal'],
    [4481, 150, '4,500 ± 300 gal'],
    [12.34, 0.25, '12.3 ± 0.5 gal'],
    [12.34, 0.06, '12.34 ± 0.12 gal'],
    [12.34, 0.0001, '12.34 ± 0.01 gal'],
    [0.4, 20, '0 ± 40 gal'],
    [-0.4, 20, '0 ± 40 gal'],
    [-123, 2.5, '-123 ± 5 gal'],
    [1_234_567, 4800, '1,235,000 ± 10,000 gal'],
    [7, 0, '7.00 gal'],
  ])('%f with std %f gal: %s', (value, std, text) => {
    expect(formatEstimate(value * gal, std * gal, 'volume', 'us')).toBe(text);
  });

  it('says so when a value is not known, and drops the ± when its uncertainty is not', () => {
    expect(formatEstimate(null, null, 'volume', 'us')).toBe('not known');
    expect(formatEstimate(Number.NaN, 1, 'volume', 'us')).toBe('not known');
    expect(formatEstimate(gal, null, 'volume', 'us')).toBe('1.00 gal');
  });

  it('shows one quantity in both systems', () => {
    expect(formatEstimate(60 * psi, psi / 4, 'pressure', 'us')).toBe('60.0 ± 0.5 psi');
    expect(formatEstimate(60 * psi, psi / 4, 'pressure', 'si')).toBe('414 ± 3 kPa');
    expect(formatEstimate(10 * gpm, 0.2 * gpm, 'flow', 'us')).toBe('10.0 ± 0.4 gpm');
    expect(formatEstimate(10 * gpm, 0.2 * gpm, 'flow', 'si')).toBe('37.9 ± 1.5 L/min');
  });

  it('keeps the true value inside the interval it prints, rounding apart', () => {
    const sizes = fc.double({ min: 0.01, max: 1e5, noNaN: true });
    const spreads = fc.double({ min: 0.01, max: 1e4, noNaN: true });
    fc.assert(
      fc.property(sizes, spreads, (value, std) => {
        const text = formatEstimate(value * gal, std * gal, 'volume', 'us');
        const [shown = 0, spread = 0] = text
          .replaceAll(',', '')
          .split(' ± ')
          .map((part) => Number.parseFloat(part));
        expect(Math.abs(spread - 2 * std)).toBeLessThanOrEqual(0.25 * 2 * std + 0.005);
        expect(Math.abs(shown - value)).toBeLessThanOrEqual(0.5 * spread + 0.005);
      }),
    );
  });
});

describe('values without uncertainty', () => {
  it.each([
    [formatValue(60 * psi, 'pressure', 'us'), '60.0 psi'],
    [formatValue(0.02 * gpm, 'flow', 'us'), '0.020 gpm'],
    [formatValue(10 * gpm, 'flow', 'us'), '10.0 gpm'],
    [formatValue(4480 * gal, 'volume', 'us'), '4,480 gal'],
    [formatValue(0, 'volume', 'us'), '0 gal'],
    [formatValue(-1e-9, 'volume', 'us'), '0.00 gal'],
    [formatValue(8.2, 'current', 'us'), '8.20 A'],
    [formatValue(30.48, 'length', 'us'), '100 ft'],
    [formatValue(30.48, 'length', 'si'), '30.5 m'],
    [formatValue(0.05, 'fraction', 'us'), '5.0 %'],
    [formatValue(273.15, 'temperature', 'us'), '32.0 degF'],
    [formatValue(283.15, 'temperature', 'si'), '10.0 degC'],
    [formatValue(45, 'time', 'us'), '45.0 s'],
    [formatValue(2400, 'time', 'us'), '40.0 min'],
    [formatValue(36_000, 'time', 'si'), '10.0 h'],
    [formatValue(10 * 86_400, 'time', 'si'), '10.0 days'],
    [formatValue(3.6e6 / gal / 1000, 'energy-per-volume', 'us'), '1.00 kWh/kgal'],
    [formatValue(3.6e6, 'energy-per-volume', 'si'), '1.00 kWh/m3'],
    [formatValue(gpm / 0.3048, 'specific-capacity', 'us'), '1.00 gpm/ft'],
    [formatValue(60 * psi, 'pressure', 'us', 0), '60 psi'],
    [formatValue(null, 'power', 'si'), 'not known'],
  ])('%s', (text, expected) => {
    expect(text).toBe(expected);
  });

  it('can be read back to within the digits shown', () => {
    const kinds = fc.constantFrom(
      'pressure',
      'volume',
      'flow',
      'length',
      'current',
      'voltage',
      'time',
    );
    const sizes = fc.double({ min: 1e-3, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(kinds, fc.constantFrom('us', 'si'), sizes, (kind, system, size) => {
        const { scale, decimals } = displayUnit(kind, system, size);
        const parsed = parseQuantity(formatValue(size, kind, system), kind);
        if (!parsed.ok) throw new Error(parsed.code);
        const step = Math.max(0.005 * size, 10 ** -decimals * scale);
        expect(Math.abs(parsed.value - size)).toBeLessThanOrEqual(step);
      }),
    );
  });
});
