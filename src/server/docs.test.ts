import { describe, expect, it } from 'vitest';
import { rowsUnder } from '../../test/support/doc-rows.ts';
import { testsBelow, wordOf } from '../../test/support/tests-below.ts';
import { SERVER_COUNTERS, SERVER_LIMITS } from './limits.ts';
import { SERVER_PROBLEMS } from './problems.ts';

describe('pages of the HTTP interface say what the code has, both ways', () => {
  it('bounds of docs/limits.md and their counters', () => {
    const printed = rowsUnder('limits.md', '## HTTP interface').map((cells) => cells.slice(0, 3));
    const counters: Record<string, string | null> = SERVER_COUNTERS;
    const held = Object.entries(SERVER_LIMITS).map(([name, most]) => [
      ...[name, `${most}`],
      counters[name] ?? 'turns nobody away',
    ]);
    expect(printed).toEqual(held);
    const tests = testsBelow('src/server', 'test/watch');
    for (const [name] of held) expect(tests, `${name} bites in a test`).toMatch(wordOf(name!));
  });
  it('codes of docs/errors.md', () => {
    const printed = rowsUnder('errors.md', '## HTTP interface').map((cells) => cells.slice(0, 2));
    const held = Object.entries(SERVER_PROBLEMS).map(([code, [status]]) => [code, `${status}`]);
    expect(printed).toEqual(held);
  });
});
