import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { evenly } from '../../../test/support/evenly.ts';
import { fitSine, fitSineOfUnknownFrequency } from './sine-fit.ts';
import { trueRms } from './true-rms.ts';

interface Wave {
  amplitude: number;
  offset: number;
  phaseRad: number;
  hz: number;
}

const waves: fc.Arbitrary<Wave> = fc.record({
  amplitude: evenly(1, 1000),
  offset: evenly(-500, 2000),
  phaseRad: evenly(-3, 3),
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
      fc.property(waves, fc.integer({ min: 10, max: 60 }), evenly(0.5, 4), (wave, per, cycles) => {
        const intervalS = 1 / (wave.hz * per);
        const samples = sampled(wave, intervalS, Math.ceil(cycles * per));
        const found = fitSine(samples, intervalS, wave.hz);
        const scale = Math.abs(wave.offset) + wave.amplitude;
        expect(Math.abs(found.amplitude - wave.amplitude)).toBeLessThan(1e-8 * scale);
        expect(Math.abs(found.offset - wave.offset)).toBeLessThan(1e-8 * scale);
        expect(Math.cos(found.phaseRad - wave.phaseRad)).toBeCloseTo(1, 8);
        expect(found.residualRms).toBeLessThan(1e-8 * scale);
      }),
    );
  });

  it('is NaN where three unknowns cannot be told apart', () => {
    expect(fitSine([1, 2], 0.001, 50).amplitude).toBeNaN();
    // Two samples a cycle: sine and cosine look the same.
    expect(fitSine([1, -1, 1, -1, 1], 0.01, 50).amplitude).toBeNaN();
  });

  it('finds the frequency too, from two percent off', () => {
    fc.assert(
      fc.property(waves, evenly(-0.02, 0.02), (wave, off) => {
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
      fc.property(waves, fc.integer({ min: 12, max: 60 }), evenly(0.5, 15), (wave, per, cycles) => {
        const intervalS = 1 / (wave.hz * per);
        const samples = sampled(wave, intervalS, Math.ceil(cycles * per));
        const { rms, how } = trueRms(samples, intervalS, wave.hz);
        expect(Math.abs((rms * Math.SQRT2) / wave.amplitude - 1)).toBeLessThan(1e-5);
        if (how === 'sine-fit') expect(cycles).toBeLessThanOrEqual(3);
      }),
    );
  });

  it('closes the last cycle by its part: what is left over falls with the samples a cycle', () => {
    let worst = 0;
    for (let rateHz = 600; rateHz < 4000; rateHz += 23) {
      for (let phaseRad = 0; phaseRad < Math.PI; phaseRad += 0.2) {
        const wave = { amplitude: 1, offset: 5, phaseRad, hz: 60 };
        const { rms } = trueRms(
          sampled(wave, 1 / rateHz, Math.round(0.23 * rateHz)),
          1 / rateHz,
          60,
        );
        worst = Math.max(worst, (Math.abs(rms * Math.SQRT2 - 1) * rateHz) / 60);
      }
    }
    // The trapezium rule with a straight last piece; cut off there it is 0.0034.
    expect(worst).toBeLessThan(0.0021);
  });

  it('stands a rate that is no multiple of the mains', () => {
    fc.assert(
      fc.property(waves, evenly(600, 4000), (wave, rateHz) => {
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

  it('takes four samples a cycle, half a cycle and four samples, and no fewer', () => {
    const wave = { amplitude: 10, offset: 3, phaseRad: 0.3, hz: 60 };
    const rms = (perCycle: number, count: number) =>
      trueRms(sampled(wave, 1 / (60 * perCycle), count), 1 / (60 * perCycle), 60).rms;
    for (const [perCycle, count] of [
      [4.1, 40],
      [4, 40],
      [8, 4],
      [40, 20],
    ] as const) {
      expect(rms(perCycle, count), `${perCycle} ${count}`).toBeCloseTo(10 / Math.SQRT2, 0);
    }
    expect(rms(3.9, 40)).toBeNaN();
    expect(rms(40, 19)).toBeNaN();
    expect(rms(5, 3)).toBeNaN();
  });

  it('refuses what is no burst', () => {
    expect(trueRms([], 0.001, 60).rms).toBeNaN();
    expect(trueRms([1, 2, 3, 4], 0.001, 60).rms).toBeNaN();
    expect(trueRms([1, Number.NaN, ...new Array(200).fill(1)], 0.001, 60).rms).toBeNaN();
    expect(trueRms(new Array(200).fill(1), 0.01, 60).rms).toBeNaN();
  });
});
