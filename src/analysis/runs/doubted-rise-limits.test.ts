import { describe, expect, it } from 'vitest';
import {
  createDoubtedRise,
  currentIsTrusted,
  type DoubtedRise,
  isRunAfterAll,
  noteCutOut,
} from './doubted-rise.ts';

const PSI = 6894.757;
const CUT_IN = 55 * PSI;
const CUT_OUT = 75 * PSI;

/** Runs from 55 to 75 psi absolute, so that a run climbs 12 psi at least. */
const taught = (): DoubtedRise => ({ ...createDoubtedRise(), shown: 3, cutOutPa: CUT_OUT });

/** Whether a rise from its lowest on is a run once it has stood at each of the pressures. */
const isRun = (lowestPsi: number, ...psi: number[]): boolean => {
  const doubt = taught();
  return psi.map((p) => isRunAfterAll(doubt, CUT_IN, lowestPsi * PSI, p * PSI)).at(-1)!;
};

describe('what the tracker knows of the cut-out', () => {
  it('is nothing at first, then what was seen, then follows a tenth of the way up and down', () => {
    const doubt = createDoubtedRise();
    expect(doubt).toEqual({ shown: 0, cutOutPa: NaN, high: 0 });
    noteCutOut(doubt, NaN);
    expect(doubt.cutOutPa).toBeNaN();
    noteCutOut(doubt, 70 * PSI);
    expect(doubt.cutOutPa).toBe(70 * PSI);
    noteCutOut(doubt, 80 * PSI);
    expect(doubt.cutOutPa).toBeCloseTo(71 * PSI, 6);
    noteCutOut(doubt, 61 * PSI);
    expect(doubt.cutOutPa).toBeCloseTo(70 * PSI, 6);
    noteCutOut(doubt, NaN);
    expect(doubt.cutOutPa).toBeCloseTo(70 * PSI, 6);
  });

  it('lets the current be believed after three runs, if it is above the cut-in', () => {
    expect(currentIsTrusted({ ...taught(), shown: 2 }, CUT_IN)).toBe(false);
    expect(currentIsTrusted(taught(), CUT_IN)).toBe(true);
    expect(currentIsTrusted(taught(), CUT_OUT)).toBe(false);
    expect(currentIsTrusted(taught(), NaN)).toBe(false);
  });
});

describe('a rise against the word of the current', () => {
  it('is a run with the second reading that stands 12 psi above its lowest', () => {
    expect(isRun(55, 68)).toBe(false);
    expect(isRun(55, 68, 68)).toBe(true);
    expect(isRun(55, 66.9, 68)).toBe(false);
    expect(isRun(55, 66.9, 68, 67.1)).toBe(true);
  });

  it('may begin less than 3 psi above the cut-in', () => {
    expect(isRun(57.9, 71, 71)).toBe(true);
    expect(isRun(58.1, 71, 71, 71)).toBe(false);
  });

  it('may begin elsewhere, if it comes to less than 2 psi from the cut-out', () => {
    expect(isRun(60, 72.9, 72.9, 72.9)).toBe(false);
    expect(isRun(60, 73.1, 73.1)).toBe(true);
  });

  it('goes less than 15 psi over the cut-out', () => {
    expect(isRun(55, 89.9, 89.9)).toBe(true);
    expect(isRun(55, 90.1, 90.1, 90.1)).toBe(false);
  });
});
