import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { QuantityKind } from './kinds.ts';
import { EXAMPLE } from './kinds.ts';
import { parseQuantity } from './parse.ts';
import { converterFor, unitsOf } from './table.ts';

const read = (text: string, kind: QuantityKind) => {
  const parsed = parseQuantity(text, kind);
  return parsed.ok ? parsed.value : parsed.code;
};

describe('quantities as a keeper writes them', () => {
  it.each<[string, QuantityKind, number]>([
    ['3/4 hp', 'power', 0.75 * 745.6998715822702],
    ['1 1/2 hp', 'power', 1.5 * 745.6998715822702],
    ['1-1/2 hp', 'power', 1.5 * 745.6998715822702],
    ['38 psi', 'pressure', 38 * 6894.757293168361],
    ['38psi', 'pressure', 38 * 6894.757293168361],
    ['38 PSIG', 'pressure', 38 * 6894.757293168361],
    ['14.7 psia', 'absolute-pressure', 14.7 * 6894.757293168361],
    ['1.05 in', 'length', 0.02667],
    ['12 AWG', 'area-of-conductor', 3.3087728761114766e-6],
    ['2/0 awg', 'area-of-conductor', 6.743088223591077e-5],
    ['4 mm2', 'area-of-conductor', 4e-6],
    ['10 gpm', 'flow', 6.30901964e-4],
    ['0 gpm', 'flow', 0],
    ['1,200 gal', 'volume', 4.5424941408],
    ['12,345,678.5 L', 'volume', 12_345.6785],
    ['428 ft', 'head', 130.4544],
    ['-12 ft', 'length', -3.6576],
    ['0.17 USD/kWh', 'energy-price', 0.17 / 3.6e6],
    ['-3.2 degF', 'temperature', (459.67 - 3.2) * (5 / 9)],
    ['\u22124 °C', 'temperature', 269.15],
    ['9 degF', 'temperature-difference', 5],
    ['2 degC', 'temperature-difference', 2],
    ['1.5e-3 m3/s', 'flow', 1.5e-3],
    ['.5 V', 'voltage', 0.5],
    ['5 %', 'fraction', 0.05],
    ['2048 count', 'count', 2048],
    ['60\u00a0s', 'time', 60],
  ])('%s', (text, kind, expected) => {
    const parsed = parseQuantity(text, kind);
    expect(parsed.ok).toBe(true);
    if (parsed.ok)
      expect(parsed.value).toBeCloseTo(
        expected,
        10 - Math.round(Math.log10(Math.abs(expected) + 1e-9)),
      );
  });

  it('gives the currency of a price as its unit', () => {
    expect(parseQuantity('0.31 EUR/kWh', 'energy-price')).toMatchObject({ ok: true, unit: 'EUR' });
    expect(parseQuantity('38 psi', 'pressure')).toMatchObject({ ok: true, unit: 'psi' });
  });

  it.each<[string, QuantityKind, string]>([
    ['38', 'pressure', 'missing-unit'],
    ['12', 'area-of-conductor', 'missing-unit'],
    ['38 gpm', 'pressure', 'wrong-kind'],
    ['38 psia', 'pressure', 'wrong-kind'],
    ['38 psi', 'absolute-pressure', 'wrong-kind'],
    ['12 AWG', 'length', 'wrong-kind'],
    ['38 pis', 'pressure', 'unknown-unit'],
    ['5 usd/kWh', 'energy-price', 'unknown-unit'],
    ['abc psi', 'pressure', 'not-a-number'],
    ['psi', 'pressure', 'not-a-number'],
    ['', 'pressure', 'not-a-number'],
    ['1,20 gal', 'volume', 'not-a-number'],
    ['1,2000 gal', 'volume', 'not-a-number'],
    ['1.2.3 gal', 'volume', 'not-a-number'],
    ['1 2 psi', 'pressure', 'not-a-number'],
    ['40-60 psi', 'pressure', 'not-a-number'],
    ['1/0 hp', 'power', 'not-a-number'],
    ['1e999 V', 'voltage', 'not-a-number'],
    ['NaN V', 'voltage', 'not-a-number'],
    ['Infinity V', 'voltage', 'not-a-number'],
    ['99 AWG', 'area-of-conductor', 'not-a-number'],
    ['-5 gal', 'volume', 'not-positive'],
    ['-300 degC', 'temperature', 'not-positive'],
  ])('refuses %s where %s is wanted: %s', (text, kind, code) => {
    expect(read(text, kind)).toBe(code);
  });

  it('says what was expected and what was found', () => {
    expect(parseQuantity('38 gpm', 'pressure')).toEqual({
      ok: false,
      code: 'wrong-kind',
      expected: 'a gauge pressure such as "38 psi", in Pa, hPa, kPa, bar, MPa, psi',
      found: 'gpm (a flow)',
    });
  });

  it('can read the example that each message gives', () => {
    const kinds = Object.keys(EXAMPLE) as QuantityKind[];
    expect(kinds.length).toBeGreaterThan(0);
    for (const kind of kinds) expect(parseQuantity(EXAMPLE[kind], kind).ok, kind).toBe(true);
  });

  it('comes back to the written number through any unit', () => {
    const kinds = Object.keys(EXAMPLE) as QuantityKind[];
    const units = kinds.flatMap((kind) => unitsOf(kind).map((unit) => ({ kind, unit })));
    const numbers = fc.double({ min: 0, max: 1e9, noNaN: true });
    fc.assert(
      fc.property(fc.constantFrom(...units), numbers, ({ kind, unit }, number) => {
        const { scale = 0, offset = 0 } = converterFor(unit) ?? {};
        const value = read(`${number} ${unit}`, kind);
        if (typeof value !== 'number') throw new Error(`${number} ${unit}: ${value}`);
        expect(Math.abs((value - offset) / scale - number)).toBeLessThanOrEqual(
          1e-12 * number + 1e-9,
        );
      }),
    );
  });

  it('never throws, whatever the text', () => {
    fc.assert(
      fc.property(
        fc.string(),
        fc.constantFrom<QuantityKind>('pressure', 'area-of-conductor'),
        (text, kind) => {
          const parsed = parseQuantity(text, kind);
          expect(parsed.ok ? Number.isFinite(parsed.value) : parsed.expected.length > 0).toBe(true);
        },
      ),
    );
  });
});
