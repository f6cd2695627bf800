import { UcumLhcUtils } from '@lhncbc/ucum-lhc';
import { describe, expect, it } from 'vitest';
import { assertRows, formulaOf, vectorFilesUnder } from '../../test/support/vectors.ts';
import { converterFor, currencyOf, unitsOf } from './table.ts';
import factors from './table.vectors.json' with { type: 'json' };

const KILO_PREFIXED: Record<string, { code: string; times: number }> = {
  'k[cml_i]': { code: '[cml_i]', times: 1000 },
};

describe('factors of units', () => {
  it.each(factors.scales)('$source', ({ rows, relative }) => {
    expect(rows.length).toBeGreaterThan(0);
    for (const [unit, printed] of rows as [string, number][]) {
      const scale = converterFor(unit)?.scale ?? Number.NaN;
      expect(Math.abs(scale / printed - 1), unit).toBeLessThanOrEqual(relative);
    }
  });

  it.each(factors.ucum)('%s agrees with %s of a UCUM library to 13 digits', (unit, code, si) => {
    const ucum = UcumLhcUtils.getInstance();
    const { code: plain, times } = KILO_PREFIXED[code] ?? { code, times: 1 };
    const converter = converterFor(unit);
    for (const value of [-40, 0, 1, 987.6]) {
      const answer = ucum.convertUnitTo(plain, value * times, si);
      expect(answer.status, `${code} ${answer.msg}`).toBe('succeeded');
      const ours = value * (converter?.scale ?? Number.NaN) + (converter?.offset ?? Number.NaN);
      const theirs = answer.toVal ?? Number.NaN;
      expect(Math.abs(ours - theirs)).toBeLessThanOrEqual(1e-13 * Math.max(Math.abs(theirs), 1e-9));
    }
  });

  it('has the temperatures at their fixed points', () => {
    const celsius = converterFor('degC');
    const fahrenheit = converterFor('degF');
    expect(celsius).toEqual({ kind: 'temperature', scale: 1, offset: 273.15 });
    expect(32 * (fahrenheit?.scale ?? 0) + (fahrenheit?.offset ?? 0)).toBeCloseTo(273.15, 10);
    expect(212 * (fahrenheit?.scale ?? 0) + (fahrenheit?.offset ?? 0)).toBeCloseTo(373.15, 10);
  });

  it('keeps gauge and absolute apart, and knows prices in any currency', () => {
    expect(converterFor('psi')?.kind).toBe('pressure');
    expect(converterFor('psia')?.kind).toBe('absolute-pressure');
    expect(converterFor('EUR/kWh')).toEqual({ kind: 'energy-price', scale: 1 / 3.6e6, offset: 0 });
    expect(currencyOf('EUR/kWh')).toBe('EUR');
    expect(converterFor('USD/gal')).toBeNull();
    expect(currencyOf('gpm')).toBeNull();
  });

  it('takes trade words in any case, and prefixed units only in their own', () => {
    for (const text of ['PSI', 'Gpm', 'GAL', 'Ft', 'HP', ' psi ']) {
      expect(converterFor(text), text).not.toBeNull();
    }
    for (const text of ['MV', 'ma', 'KPA', 'v', 'AWG', '']) {
      expect(converterFor(text), text).toBeNull();
    }
  });

  it('lists the units of a kind', () => {
    expect(unitsOf('voltage')).toEqual(['V', 'mV']);
  });
});

describe('conductor sizes', () => {
  it('holds every row of its vectors', async () => {
    const file = vectorFilesUnder('src/units').find(({ path }) => path.includes('awg'));
    expect(file).toBeDefined();
    if (file === undefined) return;
    const formula = await formulaOf(file);
    const rows = file.sets.reduce((sum, set) => sum + set.rows.length, 0);
    const asserted = file.sets.reduce((sum, set) => sum + assertRows(formula, set), 0);
    expect(asserted).toBe(rows);
    expect(rows).toBeGreaterThan(0);
  });
});
