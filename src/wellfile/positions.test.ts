import fc from 'fast-check';
import { parse, stringify } from 'smol-toml';
import { describe, expect, it } from 'vitest';
import { findPositions, keyAt, type Path, pathName } from './positions.ts';

/** What stands at a path: the key's first character on, and the value. */
function look(text: string, path: Path): { key: string; value: string } {
  const span = findPositions(text).get(pathName(path));
  if (span === undefined) throw new Error(`nothing at ${pathName(path)}`);
  return { key: text.slice(span.key, span.key + 6), value: text.slice(span.start, span.end) };
}

describe('findPositions', () => {
  it('finds dotted keys, also with blanks and quotes', () => {
    const text = 'a . "b.c" . \'d\' = 1\na.e.f=2 # x = 3';
    expect(look(text, ['a', 'b.c', 'd'])).toEqual({ key: "'d' = ", value: '1' });
    expect(look(text, ['a', 'b.c']).key).toBe('"b.c" ');
    expect(look(text, ['a', 'e', 'f'])).toEqual({ key: 'f=2 # ', value: '2' });
  });
  it('finds keys of inline tables and items of lists, over lines and comments', () => {
    const text = 't = { x.y = [ 1, # ] } "\n  { z = "a]b" }, ], w = \'"\' }';
    expect(look(text, ['t', 'x', 'y', 0]).value).toBe('1');
    expect(look(text, ['t', 'x', 'y', 1, 'z'])).toEqual({ key: 'z = "a', value: '"a]b"' });
    expect(look(text, ['t', 'w']).value).toBe("'\"'");
  });
  it('counts arrays of tables and puts sub-tables under the last one', () => {
    const text = '[[s]]\nk = 1\n[s.now]\nk = 2\n[[s]]\n[s.now]\nk = 3\n[[s.p]]\n[[s.p]]\nk = 4';
    expect(look(text, ['s', 0, 'k']).value).toBe('1');
    expect(look(text, ['s', 0, 'now', 'k']).value).toBe('2');
    expect(look(text, ['s', 1, 'now', 'k']).value).toBe('3');
    expect(look(text, ['s', 1, 'p', 1, 'k']).value).toBe('4');
  });
  it('is not misled by strings and comments that hold brackets and keys', () => {
    const text = [
      'a = """',
      '[x]',
      'b = 1 \\""" # no end',
      'c = 2""""" # two quotes of its own',
      "d = '''",
      "it's [ { \\'''",
      '#[y]',
      'b = 5 # b = 6',
    ].join('\r\n');
    expect(look(text, ['b']).value).toBe('5');
    expect(look(text, ['d']).value).toMatch(/'''$/);
    expect(findPositions(text).has(pathName(['x']))).toBe(false);
    expect(findPositions(text).has(pathName(['c']))).toBe(false);
  });
  it('keeps a date and a time with a blank between them whole', () => {
    const text = 'a = 2026-04-08 20:30:00 # x\nb = [2026-04-08 20:30:00 , 1]';
    expect(look(text, ['a']).value).toBe('2026-04-08 20:30:00');
    expect(look(text, ['b', 0]).value).toBe('2026-04-08 20:30:00');
  });
  it('decodes escapes in quoted keys', () => {
    expect(look('"a\\u00e9\\"]" = 7', ['aé"]']).value).toBe('7');
    expect(keyAt('x = 1\n "p q" . r = 2', 7)).toEqual(['p q', 'r']);
  });

  it('holds against the TOML library: what stands at each leaf reads as that leaf', () => {
    const leaf = fc.oneof(
      fc.string({ unit: 'grapheme' }),
      fc.integer(),
      fc.boolean(),
      fc.constantFrom('[x]', 'a = 1', '# no', '"""', "'''", '\\', '"', '}\n]'),
    );
    const key = fc.oneof(fc.stringMatching(/^[\w .\][#"'=-]{1,8}$/), fc.constantFrom('a', 'b'));
    const { table } = fc.letrec<{ value: unknown; table: Record<string, unknown> }>((tie) => ({
      value: fc.oneof({ maxDepth: 3 }, leaf, fc.array(leaf, { maxLength: 3 }), tie('table')),
      table: fc.dictionary(key, fc.oneof(tie('value'), fc.array(tie('table'), { maxLength: 3 })), {
        maxKeys: 4,
        noNullPrototype: true,
      }),
    }));
    let leaves = 0;
    fc.assert(
      fc.property(table, (document) => {
        const text = stringify(document);
        const positions = findPositions(text);
        for (const [path, value] of leavesOf(parse(text))) {
          const span = positions.get(pathName(path));
          expect(span, pathName(path)).toBeDefined();
          expect(parse(`x = ${text.slice(span!.start, span!.end)}`).x).toEqual(value);
          leaves++;
        }
      }),
      { numRuns: 400, seed: 10 },
    );
    expect(leaves).toBeGreaterThan(400);
  });
});

function leavesOf(value: unknown, path: Path = []): [Path, unknown][] {
  if (Array.isArray(value)) return value.flatMap((item, i) => leavesOf(item, [...path, i]));
  if (typeof value !== 'object' || value === null) return [[path, value]];
  return Object.entries(value).flatMap(([key, inner]) => leavesOf(inner, [...path, key]));
}
