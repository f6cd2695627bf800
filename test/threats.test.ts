import { describe, expect, it } from 'vitest';
import { textOf } from './support/source-scan.ts';

/** Files whose every test stands for a threat. */
const THREATS = [
  'test/audit.test.ts',
  'test/intake/bounds.test.ts',
  'test/notify/outside.test.ts',
  'test/notify/signature.test.ts',
  'test/page/policy.test.ts',
  'test/watch/hostile.test.ts',
];

const page = textOf('docs/threats.md');
const rows = [...page.matchAll(/^\|(.*)\|$/gm)]
  .map(([, row = '']) => row.split('|').map((cell) => cell.trim()))
  .slice(2);

/** Tests that a cell names: a file, and titles in quotes after it. */
function named(cell: string): { file: string; title: string }[] {
  let file = '';
  return [...cell.matchAll(/`([^`]+)`|"([^"]+)"/g)].flatMap(([, path, title]) => {
    if (path !== undefined) file = path;
    return title === undefined ? [] : [{ file, title }];
  });
}

const titlesOf = (file: string): string[] =>
  [...textOf(file).matchAll(/\bit(?:\.\w+\([^()]*(?:\([^()]*\))?[^()]*\))?\(\s*'([^'\n]+)'/g)].map(
    ([, title]) => title!,
  );

describe('each line of docs/threats.md', () => {
  it('says what, what stops it, and by which tests that is shown', () => {
    expect(rows.length).toBeGreaterThan(20);
    for (const [, what, stops, tests] of rows) {
      expect(what, tests).not.toBe('');
      expect(stops, what).not.toBe('');
      expect(named(tests ?? '').length, what).toBeGreaterThan(0);
    }
  });

  it('names tests that are there', () => {
    for (const { file, title } of rows.flatMap(([, , , tests]) => named(tests ?? '')))
      expect(titlesOf(file), file).toContain(title);
  });

  it('and no test against a threat is without one', () => {
    const told = rows.flatMap(([, , , tests]) => named(tests ?? ''));
    for (const file of THREATS) {
      expect(titlesOf(file).length, file).toBeGreaterThan(1);
      for (const title of titlesOf(file)) expect(told, file).toContainEqual({ file, title });
    }
  });
});
