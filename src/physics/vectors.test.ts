import { describe, expect, it } from 'vitest';
import { assertRows, formulaOf, vectorFilesUnder } from '../../test/support/vectors.ts';

const files = vectorFilesUnder('src/physics');

describe.each(files)('$function', (file) => {
  it.each(file.sets)('$source: $locator', async (set) => {
    expect(set.rows.length).toBeGreaterThan(0);
    expect(assertRows(await formulaOf(file), set)).toBe(set.rows.length);
  });

  it('says where each row is from, and how it was computed where it is not from outside', () => {
    for (const set of file.sets) {
      expect(set.provenance.length, set.source).toBeGreaterThan(0);
      if (set.origin === 'independent-computation') expect(set.how, set.source).toBeTruthy();
    }
  });
});
