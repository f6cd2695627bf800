import { describe, expect, it } from 'vitest';
import { editDistance, nearestWord } from './nearest.ts';

describe('editDistance', () => {
  // The examples that most text books give for this distance (from memory).
  it.each([
    ['kitten', 'sitting', 3],
    ['saturday', 'sunday', 3],
    ['intention', 'execution', 5],
    ['ca', 'abc', 3],
    ['ac', 'ca', 1],
    ['', 'abc', 3],
    ['abc', 'abc', 0],
  ])('%s to %s: %d', (a, b, edits) => {
    expect(editDistance(a, b)).toBe(edits);
    expect(editDistance(b, a)).toBe(edits);
  });
});

describe('nearestWord', () => {
  const known = ['cut_in', 'cut_out', 'volume', 'precharge'];
  it('names the nearest, whatever the case', () => {
    expect(nearestWord('Cutout', known)).toBe('cut_out');
    expect(nearestWord('pre_charge', known)).toBe('precharge');
    expect(nearestWord('voluem', known)).toBe('volume');
  });
  it('names none where none is near', () => {
    expect(nearestWord('barometer', known)).toBeNull();
    expect(nearestWord('x'.repeat(100_000), known)).toBeNull();
    expect(nearestWord('a', [])).toBeNull();
  });
});
