import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bandOf, sectionScale, spread, tankFill } from './section-geometry.ts';

describe('the section to scale', () => {
  const depths = { staticLevel: { m: 20, std: 3 }, pumpingLevel: null, intakeM: 50 };
  it('depths are in proportion, ground on its line, all that is known inside', () => {
    const { yOf, deepestM, toScale } = sectionScale(depths, 300, 780);
    expect(toScale).toBe(true);
    expect(yOf(0)).toBe(300);
    expect(yOf(deepestM)).toBeCloseTo(780);
    expect((yOf(50) - yOf(0)) / (yOf(20) - yOf(0))).toBeCloseTo(2.5);
    expect(yOf(50)).toBeLessThan(780);
  });
  it('without any depth it says that it is not to scale', () => {
    const none = { staticLevel: null, pumpingLevel: null, intakeM: null };
    expect(sectionScale(none, 300, 780).toScale).toBe(false);
  });
  it('a band is two standard uncertainties, and never above ground', () => {
    expect(bandOf({ m: 20, std: 3 }, 57)).toEqual([14, 26]);
    expect(bandOf({ m: 2, std: 3 }, 57)).toEqual([0, 8]);
  });
  it('labels keep their order and never cover one another while there is room', () => {
    const wanted = fc.array(fc.double({ min: 0, max: 400, noNaN: true }), { maxLength: 8 });
    fc.assert(
      fc.property(wanted, (places) => {
        const found = spread(places, 30, 700);
        const order = places.map((_, i) => i).toSorted((a, b) => places[a]! - places[b]!);
        order.slice(1).forEach((i, k) => {
          expect(found[i]! - found[order[k]!]!).toBeGreaterThanOrEqual(30 - 1e-9);
        });
      }),
    );
  });
});

describe('the tank', () => {
  // Boyle's law: at twice the absolute pressure the air has half its volume.
  it('is half full of water at twice its absolute precharge, and empty at it', () => {
    const [volumeM3, prechargePaAbs] = [0.3, 300_000];
    const constant = volumeM3 * prechargePaAbs;
    expect(tankFill(constant, volumeM3, 2 * prechargePaAbs)?.waterShare).toBeCloseTo(0.5);
    expect(tankFill(constant, volumeM3, prechargePaAbs)?.waterM3).toBeCloseTo(0);
    expect(tankFill(constant, volumeM3, prechargePaAbs / 2)?.airM3).toBe(volumeM3);
  });
  it('is not known without its constant, volume or pressure', () => {
    expect(tankFill(null, 0.3, 3e5)).toBeNull();
    expect(tankFill(9e4, null, 3e5)).toBeNull();
    expect(tankFill(9e4, 0.3, null)).toBeNull();
  });
});
