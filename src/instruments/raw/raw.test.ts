import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitSine, fitSineOfUnknownFrequency } from './sine-fit.ts';
import { trueRms } from './true-rms.ts';

interface Wave {
  amplitude: number;
  offset: number;
  phaseRad: number;
  hz: number;
}

const waves: fc.Arbitrary<Wave> = fc.record({
  amplitude: fc.double({ min: 1, max: 1000, noNaN: true }),
  offset: fc.double({ min: -500, max: 2000, noNaN: true }),
  phaseRad: fc.double({ min: -3, max: 3, noNaN: true }),
  hz: fc.constantFrom(50, 60),
});
const sampled = ({ amplitude, offset, phaseRad, hz }: Wave, intervalS: number, count: number) =>
  Array.from(
    { length: count },
    (_, i) => offset + amplitude * Math.cos(2 * Math.PI * hz * i * intervalS + phaseRad),
  );

describe('fitSine', () => {
  it('finds a sine again from half a cycle on', () => {
    fc.assert(
      fc.property(
        waves,
        fc.integer({ min: 10, max: 60 }),
        fc.double({ min: 0.5, max: 4, noNaN: true }),
        (wave, per, cycles) => {
          const intervalS = 1 / (wave.hz * per);
          const samples = sampled(wave, intervalS, Math.ceil(cycles * per));
          const found = fitSine(samples, intervalS, wave.hz);
          const scale = Math.abs(wave.offset) + wave.amplitude;
          expect(Math.abs(found.amplitude - wave.amplitude)).toBeLessThan(1e-8 * scale);
          expect(Math.abs(found.offset - wave.offset)).toBeLessThan(1e-8 * scale);
          expect(Math.cos(found.phaseRad - wave.phaseRad)).toBeCloseTo(1, 8);
          expect(found.residualRms).toBeLessThan(1e-8 * scale);
        },
      ),
    );
  });

  it('is NaN where three unknowns cannot be told apart', () => {
    expect(fitSine([1, 2], 0.001, 50).amplitude).toBeNaN();
    // Two samples a cycle: sine and cosine look the same.
    expect(fitSine([1, -1, 1, -1, 1], 0.01, 50).amplitude).toBeNaN();
  });

  it('finds the frequency too, from two percent off', () => {
    fc.assert(
      fc.property(waves, fc.double({ min: -0.02, max: 0.02, noNaN: true }), (wave, off) => {
        const intervalS = 1 / 860;
        const samples = sampled(wave, intervalS, 172);
        const found = fitSineOfUnknownFrequency(samples, intervalS, wave.hz * (1 + off));
        expect(found.frequencyHz).toBeCloseTo(wave.hz, 7);
        expect(Math.abs(found.amplitude / wave.amplitude - 1)).toBeLessThan(1e-6);
      }),
    );
  });

  it('does not settle on what is no sine', () => {
    expect(fitSineOfUnknownFrequency([5, 5, 5, 5, 5, 5, 5, 5], 0.001, 60).frequencyHz).toBeNaN();
  });
});

describe('trueRms', () => {
  it('is amplitude over root two for a sine, long or short, whatever its offset', () => {
    fc.assert(
      fc.property(
        waves,
        fc.integer({ min: 12, max: 60 }),
        fc.double({ min: 0.5, max: 15, noNaN: true }),
        (wave, per, cycles) => {
          const intervalS = 1 / (wave.hz * per);
          const samples = sampled(wave, intervalS, Math.ceil(cycles * per));
          const { rms, how } = trueRms(samples, intervalS, wave.hz);
          expect(Math.abs((rms * Math.SQRT2) / wave.amplitude - 1)).toBeLessThan(1e-5);
          if (how === 'sine-fit') expect(cycles).toBeLessThanOrEqual(3);
        },
      ),
    );
  });

  it('stands a rate that is no multiple of the mains', () => {
    fc.assert(
      fc.property(waves, fc.double({ min: 600, max: 4000, noNaN: true }), (wave, rateHz) => {
        const samples = sampled(wave, 1 / rateHz, Math.round(0.23 * rateHz));
        const { rms, how } = trueRms(samples, 1 / rateHz, wave.hz);
        expect(how).toBe('whole-cycles');
        expect(Math.abs((rms * Math.SQRT2) / wave.amplitude - 1)).toBeLessThan(5e-4);
      }),
    );
  });

  it('counts harmonics, as the sum of squares says (Parseval)', () => {
    const parts = [
      [1, 10, 0.3],
      [3, 2.5, 1.1],
      [5, 1, -2],
    ] as const;
    const rms = Math.sqrt(parts.reduce((sum, [, a]) => sum + (a * a) / 2, 0));
    const wave = (timeS: number) =>
      7 + parts.reduce((sum, [n, a, p]) => sum + a * Math.cos(2 * Math.PI * 60 * n * timeS + p), 0);
    const burst = (count: number) => Array.from({ length: count }, (_, i) => wave(i / 3600));
    expect(trueRms(burst(720), 1 / 3600, 60)).toMatchObject({ how: 'whole-cycles', cycles: 12 });
    expect(trueRms(burst(720), 1 / 3600, 60).rms).toBeCloseTo(rms, 9);
    // Two cycles and a bit are fitted: what the sine leaves over is counted with it.
    const short = trueRms(burst(135), 1 / 3600, 60);
    expect(short.how).toBe('sine-fit');
    expect(Math.abs(short.rms / rms - 1)).toBeLessThan(0.01);
  });

  it('beats the plain root of the mean square where a burst ends within a cycle', () => {
    const wave = { amplitude: 10, offset: 0, phaseRad: 0.4, hz: 60 };
    const samples = sampled(wave, 1 / 860, 20);
    const plain = Math.sqrt(samples.reduce((sum, value) => sum + value * value, 0) / 20);
    const truth = 10 / Math.SQRT2;
    expect(Math.abs(plain / truth - 1)).toBeGreaterThan(0.02);
    expect(Math.abs(trueRms(samples, 1 / 860, 60).rms / truth - 1)).toBeLessThan(1e-9);
  });

  it('tells of a wave that is cut', () => {
    const wave = { amplitude: 10, offset: 0, phaseRad: 0, hz: 60 };
    const samples = sampled(wave, 1 / 3600, 720);
    const cut = samples.map((value) => Math.min(6, Math.max(-6, value)));
    expect(trueRms(cut, 1 / 3600, 60).atEnds).toBeGreaterThan(200);
    expect(trueRms(samples, 1 / 3600, 60).atEnds).toBeLessThan(30);
    expect(trueRms(new Array(100).fill(4), 1 / 3600, 60)).toMatchObject({ rms: 0, atEnds: 0 });
  });

  it('refuses what is no burst', () => {
    expect(trueRms([], 0.001, 60).rms).toBeNaN();
    expect(trueRms([1, 2, 3, 4], 0.001, 60).rms).toBeNaN();
    expect(trueRms([1, Number.NaN, ...new Array(200).fill(1)], 0.001, 60).rms).toBeNaN();
    expect(trueRms(new Array(200).fill(1), 0.01, 60).rms).toBeNaN();
  });
});
