import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readPack } from './readings.ts';
import { newBase, resolvePack, resolveRecord } from './resolve.ts';
import { secondaryUnit, senmlToSi } from './units.ts';

const vectors = JSON.parse(readFileSync(new URL('./senml.vectors.json', import.meta.url), 'utf8'));
const { examples, secondaryUnits } = vectors;

describe('resolvePack, RFC 8428', () => {
  it('resolves example 5.1.3 to the 13 records of 5.1.4', () => {
    const { records, issues } = resolvePack(examples.ex_5_1_3);
    expect(issues).toEqual([]);
    const resolved = records.map(({ name, unit, timeS, value }) => ({
      n: name,
      u: unit,
      t: timeS,
      v: value,
    }));
    expect(resolved).toHaveLength(13);
    expect(resolved).toEqual(examples.ex_5_1_4_resolved);
  });

  it('resolves 5.1.2: base name and unit, times before the base time, a lower version', () => {
    const [voltage, current] = resolvePack(examples.ex_5_1_2a).records;
    expect(voltage).toMatchObject({
      name: 'urn:dev:ow:10e2073a01080063:voltage',
      unit: 'V',
      value: 120.1,
      relative: true,
    });
    expect(current).toMatchObject({ unit: 'A', value: 1.2 });
    const { records, issues } = resolvePack(examples.ex_5_1_2b);
    expect(issues).toEqual([]);
    const bt = Date.parse('2010-06-08T18:01:16.001Z') / 1000;
    expect(records.map(({ timeS }) => timeS)).toEqual(
      [0, -5, -4, -3, -2, -1, 0].map((t) => bt + t),
    );
    expect(records.map(({ unit }) => unit)).toEqual(['V', 'A', 'A', 'A', 'A', 'A', 'A']);
    expect(records.every(({ relative }) => !relative)).toBe(true);
  });

  it('resolves 5.1.1, the kinds of value of 5.1.5, and a base name that changes in 5.1.6', () => {
    expect(resolvePack(examples.ex_5_1_1).records).toMatchObject([
      { name: 'urn:dev:ow:10e2073a01080063', unit: 'Cel', value: 23.1 },
    ]);
    const kinds = resolvePack(examples.ex_5_1_5).records;
    expect(kinds.map(({ value }) => value)).toEqual([23.1, 'Machine Room', false, 'aGkgCg']);
    expect(kinds.map(({ isData }) => isData)).toEqual([false, false, false, true]);
    const names = resolvePack(examples.ex_5_1_6);
    expect(names.issues).toEqual([]);
    expect(names.records.map(({ name }) => name)).toEqual([
      '2001:db8::2/temperature',
      '2001:db8::2/humidity',
      '2001:db8::1/temperature',
      '2001:db8::1/humidity',
    ]);
  });

  it('tells relative from absolute time at 2^28 s (section 4.5.3)', () => {
    const at = (bt: number) => resolveRecord(newBase(), { n: 'a', v: 1, bt });
    expect(at(2 ** 28 - 1)).toMatchObject({ record: { relative: true } });
    expect(at(2 ** 28)).toMatchObject({ record: { relative: false } });
    expect(new Date(2 ** 28 * 1000).toISOString()).toBe('1978-07-04T21:24:16.000Z');
  });

  it('adds base value and base sum (section 4.1)', () => {
    const { records } = resolvePack([
      { bn: 'x', bv: 20, bs: 100, v: 0.5, s: 3 },
      { n: 'y', v: -1 },
      { n: 'z', s: 4 },
    ]);
    expect(records.map(({ value, sum }) => [value, sum])).toEqual([
      [20.5, 103],
      [19, null],
      [null, 104],
    ]);
  });

  it('refuses a larger version, fields that must be understood, and what is no record', () => {
    const issueOf = (record: unknown) => resolveRecord(newBase(), record);
    expect(issueOf({ n: 'a', v: 1, bver: 10 })).toHaveProperty('record');
    expect(issueOf({ n: 'a', v: 1, bver: 11 })).toEqual({ issue: 'version-not-known' });
    expect(issueOf({ n: 'a', v: 1, new_: 1 })).toEqual({ issue: 'field-not-known' });
    expect(issueOf({ n: 'a', v: 1, odd: 1 })).toHaveProperty('record');
    expect(issueOf({ n: 'a', v: '1' })).toEqual({ issue: 'wrong-type' });
    expect(issueOf({ n: 'a', v: 1, vs: 'b' })).toEqual({ issue: 'several-values' });
    expect(issueOf({ n: 'a' })).toEqual({ issue: 'no-value' });
    expect(issueOf({ v: 1 })).toEqual({ issue: 'bad-name' });
    expect(issueOf({ n: '/a', v: 1 })).toEqual({ issue: 'bad-name' });
    expect(issueOf({ bn: 'a', bt: 5 })).toBeNull();
    for (const wrong of [null, 5, 'x', [1]]) {
      expect(issueOf(wrong)).toEqual({ issue: 'not-a-record' });
    }
  });

  it('never throws on JSON of any shape, and answers for every record', () => {
    fc.assert(
      fc.property(fc.array(fc.jsonValue()), (pack) => {
        const { records, issues } = resolvePack(pack);
        expect(records.length + issues.length).toBeLessThanOrEqual(pack.length);
        readPack(pack);
      }),
    );
  });
});

describe('units', () => {
  it('has the scale of RFC 8798 Table 2 for each secondary unit it takes', () => {
    expect(secondaryUnits).toHaveLength(9);
    for (const { unit, senml, scale } of secondaryUnits) {
      const [over, under = '1'] = scale.split('/');
      const expected = { primary: senml, scale: Number(over) / Number(under), offset: 0 };
      expect(secondaryUnit(unit), unit).toEqual(expected);
    }
    expect(secondaryUnit('psi')).toBeNull();
  });

  it('takes only the units of the channel', () => {
    expect(senmlToSi('pressure', 'hPa')).toEqual({ scale: 100, offset: 0 });
    expect(senmlToSi('air-temperature', 'Cel')).toEqual({ scale: 1, offset: 273.15 });
    expect(senmlToSi('pressure', 'psi')).toBeNull();
    expect(senmlToSi('current', 'V')).toBeNull();
    expect(senmlToSi('current', 'toString')).toBeNull();
  });
});

describe('readPack', () => {
  it('reads channels by the last word of the name, with boot, seq and uptime', () => {
    const pack = readPack([
      { bn: 'wells/ridge-house/', bt: 1775433600, n: 'boot', v: 3 },
      { n: 'seq', v: 17 },
      { n: 'uptime', u: 's', v: 12.5 },
      { n: 'pressure', u: 'Pa', v: 400000, t: -1 },
      { n: 'current', u: 'mA', v: 7900 },
      { n: 'mains', u: 'psi', v: 1 },
      { n: 'seq', v: -1 },
      { n: 'colour', vs: 'red' },
      7,
    ]);
    expect(pack).toEqual({
      device: '',
      boot: 3,
      seq: 17,
      uptimeS: 12.5,
      uptimeAtS: 1775433600,
      readings: [
        { index: 3, channel: 0, value: 400_000, timeS: 1775433599, relative: false },
        { index: 4, channel: 1, value: 7.9, timeS: 1775433600, relative: false },
      ],
      refused: [
        { index: 5, code: 'wrong-unit' },
        { index: 6, code: 'unreadable-value' },
        { index: 7, code: 'unknown-channel' },
        { index: 8, code: 'not-a-record' },
      ],
    });
  });
});
