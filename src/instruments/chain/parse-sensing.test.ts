import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseSensing } from './parse-sensing.ts';

const PSI = 6894.757293168361;
const issuesOf = (sensing: Record<string, unknown>) => parseSensing(sensing).issues;

describe('parseSensing', () => {
  it('reads a whole chain into SI', () => {
    const read = parseSensing({
      fitted: '2026-04-01',
      pressure: {
        range: '150 psi',
        output: ['500 mV', '4.5 V'],
        supply: '5 V',
        ratiometric: true,
        supply_sag: '1 %',
        accuracy: '1 %',
        temperature_error_per_kelvin: '0.03 %',
        temperature_swing: '20 K',
        drift_per_year: '0.3 %',
        noise: '0.05 psi',
        divider: ['5.6 kohm', '10 kohm'],
        divider_tolerance: '0.1 %',
        gain: '4.096 V',
      },
      current: {
        range: '30 A',
        output: '15 mA',
        burden: '22 ohm',
        burden_limit: '100 ohm',
        class: 1,
        noise: '0.04 A',
        bias: '1.65 V',
        differential: true,
      },
      converter: {
        bits: 16,
        range: ['6.144 V', '4.096 V'],
        signed: true,
        rate: '860 Hz',
        supply: '5 V',
        reference: 'absolute',
        beyond: '0.3 V',
        accuracy: '0.1 %',
      },
      bus: {
        logic: '3.3 V',
        pins_bear: '3.6 V',
        pull_ups: '4.7 kohm',
        pulled_to: '3.3 V',
        speed: '100 kHz',
        wire: '1 ft',
      },
      wiring: { common_ground: true },
      sampling: {
        mains: '60 Hz',
        window: '200 ms',
        interval: '5 s',
        while_running: '1 s',
        start_time: true,
        current_peak: true,
      },
    });
    expect(read.issues).toEqual([]);
    expect(read.chain?.pressure).toMatchObject({
      outputV: { zero: 0.5, full: 4.5 },
      temperatureSwingK: 20,
      divider: { seriesOhm: 5600, groundOhm: 10_000, toleranceShare: 0.001 },
      gainV: 4.096,
    });
    expect(read.chain?.pressure?.rangePaGauge).toBeCloseTo(150 * PSI, 6);
    expect(read.chain?.current).toMatchObject({
      output: { unit: 'A', rms: 0.015 },
      accuracyClass: '1',
      differential: true,
    });
    // Ranges come out rising, whatever their order in the file.
    expect(read.chain?.converter?.rangesV).toEqual([4.096, 6.144]);
    expect(read.chain?.bus?.wireM).toBeCloseTo(0.3048, 12);
    expect(read.chain?.sampling?.windowS).toBeCloseTo(0.2, 12);
    expect(read.chain?.commonGround).toBe(true);
  });

  it('takes an empty table, and makes nothing up', () => {
    const nothing = { pressure: null, current: null, converter: null, bus: null, sampling: null };
    expect(parseSensing({}).chain).toEqual({ ...nothing, commonGround: null });
    const { chain } = parseSensing({ pressure: {} });
    expect(Object.values(chain?.pressure ?? {}).every((value) => value === null)).toBe(true);
  });

  it.each([
    [{ presure: {} }, 'sensing.presure', /"pressure"\?/],
    [{ pressure: { rnage: '1 psi' } }, 'sensing.pressure.rnage', /"range"\?/],
    [{ pressure: { range: 150 } }, 'sensing.pressure.range', /text with a unit/],
    [{ pressure: { range: '150' } }, 'sensing.pressure.range', /a gauge pressure/],
    [{ pressure: { range: '150 V' } }, 'sensing.pressure.range', /a gauge pressure/],
    [{ pressure: { range: '0 psi' } }, 'sensing.pressure.range', /between 1 psi and/],
    [{ pressure: { output: '4 V' } }, 'sensing.pressure.output', /2 of text with a unit/],
    [{ pressure: { output: ['4 V', '1 V'] } }, 'sensing.pressure.output', /a rising output/],
    [{ pressure: { ratiometric: 'yes' } }, 'sensing.pressure.ratiometric', /true or false/],
    [{ pressure: 'good' }, 'sensing.pressure', /a table/],
    [{ current: { class: 2 } }, 'sensing.current.class', /one of "0.2"/],
    [{ current: { output: '1 kohm' } }, 'sensing.current.output', /a voltage/],
    [{ converter: { bits: 12.5 } }, 'sensing.converter.bits', /a whole number from 4 to 32/],
    [{ converter: { range: [] } }, 'sensing.converter.range', /1 to 32 of/],
    [{ current: { gain: '3 V' } }, 'sensing.current.gain', /converter.range to be told/],
    [
      { current: { gain: '3 V' }, converter: { range: ['2 V', '4 V'] } },
      'sensing.current.gain',
      /one of "2 V", "4 V"/,
    ],
    [{ fitted: 3 }, 'sensing.fitted', /a date/],
  ] as const)('says where %j is wrong and what it wants', (sensing, key, expected) => {
    const issues = issuesOf(sensing);
    expect(issues.map((issue) => issue.key)).toEqual([key]);
    expect(issues[0]?.expected).toMatch(expected);
    expect(issues[0]?.found.length).toBeGreaterThan(0);
  });

  it('lists all that is wrong, not the first only', () => {
    const wrong = { pressure: { range: 1, noise: 'much' }, bus: { speed: '1 psi', wires: 2 } };
    expect(issuesOf(wrong)).toHaveLength(4);
  });

  it('takes anything without falling', () => {
    const keys = fc.constantFrom('pressure', 'current', 'converter', 'range', 'output', 'bits');
    const anything = fc.dictionary(
      keys,
      fc.oneof(fc.jsonValue(), fc.dictionary(keys, fc.jsonValue())),
    );
    fc.assert(
      fc.property(anything, (sensing) => {
        const read = parseSensing(sensing as Record<string, unknown>);
        expect(read.ok).toBe(read.issues.length === 0);
        for (const issue of read.issues) expect(issue.key).toMatch(/^sensing/);
      }),
    );
  });
});
