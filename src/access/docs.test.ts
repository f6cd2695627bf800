import { expect, it } from 'vitest';
import { rowsUnder } from '../../test/support/doc-rows.ts';
import { ACCESS_LIMITS } from './limits.ts';

it('bounds of docs/limits.md are those of the code, both ways', () => {
  const printed = rowsUnder('limits.md', '## Access').map((cells) => cells.slice(0, 2));
  expect(printed).toEqual(Object.entries(ACCESS_LIMITS).map(([name, most]) => [name, `${most}`]));
});
