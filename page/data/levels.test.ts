import { describe, expect, it } from 'vitest';
import { gapsOf, holesIn, LEVELS_S, levelFor, type Stretch, tilesOf } from './levels.ts';

const stretch = (fromS: number, toS: number): Stretch => ({
  ...{ fromS, toS, least: 1, greatest: 3, mean: 2 },
});

describe('levels', () => {
  it('each length holds whole ones of the last, and beyond an hour whole hours', () => {
    LEVELS_S.forEach((lengthS, i) => {
      expect(lengthS % (LEVELS_S[i - 1] ?? 1)).toBe(0);
      if (lengthS > 3600) expect(lengthS % 3600).toBe(0);
    });
  });
  it('the finest is taken that needs no more stretches than pixels', () => {
    expect(LEVELS_S[levelFor(600, 700)]).toBe(1);
    expect(LEVELS_S[levelFor(6 * 3600, 700)]).toBe(120);
    expect(LEVELS_S[levelFor(366 * 86_400, 1300)]).toBe(86_400);
    expect(LEVELS_S[levelFor(366 * 86_400, 1500)]).toBe(21_600);
    expect(LEVELS_S[levelFor(1e12, 10)]).toBe(604_800);
  });
  it('tiles are all that a span touches', () => {
    expect(tilesOf(5, 25, 10)).toEqual([0, 1, 2]);
    expect(tilesOf(10, 20, 10)).toEqual([1]);
    expect(tilesOf(-1, 1, 10)).toEqual([-1, 0]);
  });
});

describe('gaps', () => {
  const usualS = 100;
  it('are where nothing came for longer than usual, and nowhere else', () => {
    const all = [stretch(0, 10), stretch(60, 70), stretch(400, 410)];
    expect(gapsOf(all, 0, 410, usualS)).toEqual([[70, 400]]);
  });
  it('reach to the ends of what is looked at', () => {
    expect(gapsOf([], 0, 500, usualS)).toEqual([[0, 500]]);
    expect(gapsOf([stretch(300, 310)], 0, 500, usualS)).toEqual([
      [0, 300],
      [310, 500],
    ]);
    expect(gapsOf([stretch(90, 420)], 0, 500, usualS)).toEqual([]);
  });
  it('of two pens are counted once where both have them, and each where one has', () => {
    expect(holesIn([[], []])).toBe(0);
    expect(holesIn([[], [[10, 20]]])).toBe(1);
    expect(
      holesIn([
        [
          [0, 100],
          [200, 300],
        ],
        [
          [90, 110],
          [150, 160],
        ],
      ]),
    ).toBe(3);
  });
});
