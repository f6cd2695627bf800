import { describe, expect, it } from 'vitest';
import { ratioErrorLimit } from './accuracy-class.ts';
import { checkChain } from './check-chain.ts';
import { parseSensing } from './parse-sensing.ts';
import { worstMeanSquareError } from './rms-window.ts';
import { pressureSignal, stepV } from './signal.ts';
import type { ChainContext, Converter } from './types.ts';

const PSI = 6894.757293168361;
const context: ChainContext = {
  units: 'us',
  cutInPaGauge: 40 * PSI,
  cutOutPaGauge: 60 * PSI,
  reliefPaGauge: 75 * PSI,
  runA: 9.8,
  inrushA: 60,
};
const chainOf = (sensing: Record<string, unknown>) => {
  const read = parseSensing(sensing);
  if (!read.ok) throw new Error(JSON.stringify(read.issues));
  return read.chain;
};

it('one step of 12 bits over 3.3 V is 0.806 mV, 0.233 mV rms', () => {
  // Worked example of a calculator page; ideal converter, IEEE 1241 (from memory).
  const converter = chainOf({ converter: { bits: 12, range: '3.3 V' } }).converter as Converter;
  const step = stepV(converter, 3.3);
  expect(1000 * step).toBeCloseTo(0.806, 3);
  expect((1000 * step) / Math.sqrt(12)).toBeCloseTo(0.233, 3);
  // 6.02 N + 1.76 dB: full-scale sine over the noise of the steps.
  const sine = 3.3 / 2 / Math.SQRT2;
  expect(20 * Math.log10(sine / (step / Math.sqrt(12)))).toBeCloseTo(74, 1);
});

it('a transducer of 0.5 to 4.5 V and 150 psi gives 2.5 V at 75 psi', () => {
  // p = range (V/supply - 0.1)/0.8 (convention of the trade, from memory).
  const { pressure } = chainOf({ pressure: { range: '150 psi', output: ['0.5 V', '4.5 V'] } });
  const signal = pressureSignal(pressure!);
  expect(signal!.atZeroV + signal!.voltPerPa * 75 * PSI).toBeCloseTo(2.5, 12);
});

it.each([
  // IEC 61869-2 Table 201: ratio error in percent at 5, 20, 100 and 120 % of rated current.
  ['0.2', [5, 20, 100, 120], [0.75, 0.35, 0.2, 0.2]],
  ['0.5', [5, 20, 100, 120], [1.5, 0.75, 0.5, 0.5]],
  ['0.5S', [1, 5, 20, 100, 120], [1.5, 0.75, 0.5, 0.5, 0.5]],
  ['1', [5, 20, 100, 120], [3, 1.5, 1, 1]],
  ['3', [50, 120], [3, 3]],
  ['5', [50, 120], [5, 5]],
] as const)('class %s keeps the limits of its standard', (accuracyClass, loads, limits) => {
  for (const [i, load] of loads.entries()) {
    expect(100 * ratioErrorLimit(accuracyClass, load / 100), `${load} %`).toBeCloseTo(
      limits[i]!,
      9,
    );
  }
  expect(ratioErrorLimit(accuracyClass, 1.21)).toBeNaN();
  expect(ratioErrorLimit(accuracyClass, 0)).toBeNaN();
  const least = loads[0] / 100;
  expect(ratioErrorLimit(accuracyClass, least / 2)).toBeCloseTo((2 * limits[0]!) / 100, 9);
});

it('between the loads of the table the limit runs straight', () => {
  expect(ratioErrorLimit('1', 0.125)).toBeCloseTo(0.0225, 12);
});

describe('a window of the mean square', () => {
  it('errs by 0.015527 at 10.25 cycles, by nothing at whole and half ones', () => {
    // Integral of cos^2 over the window, worked out apart.
    const at = (cycles: number) =>
      worstMeanSquareError({ mainsHz: 50, windowS: cycles / 50, rateHz: null });
    expect(at(10.25)).toBeCloseTo(0.015527, 6);
    for (const cycles of [0.5, 1, 2.5, 10, 12]) expect(at(cycles)).toBeLessThan(1e-12);
  });
  it('is blind where the rate folds twice the mains frequency onto zero', () => {
    for (const rateHz of [60, 120]) {
      expect(worstMeanSquareError({ mainsHz: 60, windowS: 0.2, rateHz })).toBe(1);
    }
    expect(worstMeanSquareError({ mainsHz: 60, windowS: 0.001, rateHz: 100 })).toBeNaN();
  });
});

describe('the bus', () => {
  const bus = { logic: '3.3 V', pulled_to: '3.3 V', speed: '400 kHz', wire: '0.8 m' };
  const judged = (pullUp: string) => {
    const chain = chainOf({ converter: { supply: '3.3 V' }, bus: { ...bus, pull_ups: pullUp } });
    return checkChain(chain, context).findings.map(({ id, limit }) => [id, limit] as const);
  };
  it('takes 967 to 3541 ohm at 3.3 V, 100 pF and 400 kHz', () => {
    // I2C-bus specification, (VDD - 0.4 V)/3 mA and 300 ns/(0.8473 Cb), as restated by others.
    expect(judged('960 ohm')[0]?.[0]).toBe('pull-ups-too-strong');
    expect(judged('960 ohm')[0]?.[1]).toBeCloseTo(966.7, 1);
    expect(judged('3.6 kohm')[0]?.[0]).toBe('pull-ups-too-weak');
    expect(judged('3.6 kohm')[0]?.[1]).toBeCloseTo(3540.7, 1);
    expect(judged('2.2 kohm')).toEqual([]);
  });
});

it('a burden of 19.445 ohm brings 60 A through 1000 turns to a peak of 1.65 V', () => {
  // R = V N/(sqrt 2 I), Ohm's law.
  const judged = (burden: string) => {
    const current = { range: '60 A', output: '60 mA', burden, bias: '1.65 V' };
    const converter = { bits: 12, range: '3.3 V', supply: '3.3 V' };
    return checkChain(chainOf({ current, converter }), context).findings.map(({ id }) => id);
  };
  expect(judged('19.44 ohm')).not.toContain('clips-inrush');
  expect(judged('19.45 ohm')).toContain('clips-inrush');
});

it('a ratiometric sensor read against a fixed voltage scales as a whole', () => {
  // 5 V down by 2 % takes 2.5 V of 75 psi to 2.45 V, which reads 150 (2.45/5 - 0.1)/0.8.
  const reads = 150 * ((2.45 / 5 - 0.1) / 0.8);
  const pressure = { range: '150 psi', output: ['0.5 V', '4.5 V'], ratiometric: true };
  const chain = chainOf({
    pressure: { ...pressure, supply_sag: '2 %' },
    converter: { bits: 16, range: '6.144 V', reference: 'absolute' },
  });
  const at = { ...context, cutOutPaGauge: 75 * PSI };
  const finding = checkChain(chain, at).findings.find(
    ({ id }) => id === 'supply-sag-reads-as-pressure',
  );
  expect(finding!.number / PSI).toBeCloseTo(75 - reads, 9);
});
