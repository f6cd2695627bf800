import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Well } from '../model/well.ts';
import { LONGEST_WELL_FILE, parseWellFile } from './parse.ts';

const whole = readFileSync(new URL('./juniper-bench.toml', import.meta.url), 'utf8');

/** Either a well whose quantities are all usable, or issues that each stand in the file. */
function holds(text: string): void {
  const result = parseWellFile(text);
  if (result.ok) {
    checkQuantities(result.well);
    return;
  }
  expect(result.issues.length).toBeGreaterThan(0);
  const lines = text.split('\n');
  for (const { line, column, expected, found } of result.issues) {
    expect(line).toBeGreaterThanOrEqual(1);
    expect(line).toBeLessThanOrEqual(lines.length);
    expect(column).toBeGreaterThanOrEqual(1);
    expect(column).toBeLessThanOrEqual([...lines[line - 1]!].length + 1);
    expect(expected).not.toBe('');
    expect(found).not.toBe('');
  }
}

/** Returns how many quantities were checked. */
function checkQuantities(well: Well): number {
  let count = 0;
  const walk = (value: unknown): void => {
    if (typeof value !== 'object' || value === null) {
      if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true);
      return;
    }
    for (const [key, inner] of Object.entries(value)) {
      if (/[sS]td$/.test(key)) {
        expect(inner).toBeGreaterThan(0);
        count++;
      }
      walk(inner);
    }
  };
  const { sensing: _, ...read } = well;
  walk(read);
  return count;
}

describe('whatever the text', () => {
  it('never fails on arbitrary text', () => {
    fc.assert(fc.property(fc.string({ unit: 'binary', maxLength: 300 }), holds), {
      numRuns: 500,
      seed: 1,
    });
    fc.assert(fc.property(fc.stringMatching(/^[[\]{}"'=.#,\n a-z0-9\\-]{0,80}$/), holds), {
      numRuns: 1500,
      seed: 2,
    });
  });

  it('never fails on a valid file with characters deleted, put in or swapped', () => {
    const at = fc.nat(whole.length - 2);
    const put = fc.oneof(
      fc.constantFrom(
        ...'[]{}"\'=.,#\\\n- 09aZ',
        '"""',
        "'''",
        '\u0000',
        '\ud800',
        '__proto__.x=1\n',
      ),
      fc.string({ unit: 'binary', minLength: 1, maxLength: 3 }),
    );
    const edit = fc.record({ at, put, how: fc.constantFrom('delete', 'insert', 'swap', 'cut') });
    fc.assert(
      fc.property(fc.array(edit, { minLength: 1, maxLength: 4 }), (edits) => {
        let text = whole;
        for (const { at: i, put: piece, how } of edits) {
          if (how === 'delete') text = text.slice(0, i) + text.slice(i + piece.length);
          else if (how === 'insert') text = text.slice(0, i) + piece + text.slice(i);
          else if (how === 'cut') text = text.slice(0, Math.max(i, 1));
          else
            text =
              text.slice(0, i) +
              text
                .slice(i, i + 2)
                .split('')
                .reverse()
                .join('') +
              text.slice(i + 2);
        }
        holds(text);
      }),
      { numRuns: 800, seed: 3 },
    );
  });

  it('takes every number to a usable one or tells why not', () => {
    const unit = fc.constantFrom('gal', 'psi', 'ft', 'A', 'V', 'hp', 'gpm', 'in', 'AWG', '%', '');
    const number = fc.oneof(
      fc.double().map(String),
      fc.constantFrom('0', '-0', '1e308', '1e-320', '1/0', '9'.repeat(400)),
    );
    fc.assert(
      fc.property(fc.nat(60), number, unit, (which, value, name) => {
        let seen = 0;
        const swap = (written: string) => (seen++ === which ? `"${value} ${name}"` : written);
        holds(whole.replaceAll(/"[\d.]+ [^"\d]+"/g, swap));
      }),
      { numRuns: 800, seed: 4 },
    );
  });

  it('every quantity of the whole file has a standard uncertainty above zero', () => {
    const result = parseWellFile(whole);
    expect(result.ok && checkQuantities(result.well)).toBeGreaterThan(30);
  });
});

describe('no hang on the largest and oddest files', () => {
  const most = (piece: string) => piece.repeat(Math.floor(LONGEST_WELL_FILE / piece.length));
  it.each([
    ['brackets', most('[')],
    ['nested lists', `a = ${most('[')}`],
    ['nested tables', most('{a=')],
    ['quotes', most('"')],
    ['broken lines', most('= x\n')],
    ['broken headers', most('[a\n')],
    ['blank lines', most('\n')],
    ['comments', most('#\n')],
    ['unknown keys', Array.from({ length: 20_000 }, (_, i) => `k${i} = 1`).join('\n')],
    ['unknown keys of one line', `a = {${Array.from({ length: 9000 }, (_, i) => `k${i} = 1`)}}`],
    ['a long name', `name = "${most('x').slice(0, -40)}\\n"`],
    ['a long column', `name = "x"\nlogging.columns.a = "${most(' ').slice(0, -80)}]"`],
    ['a long quantity', `name = "x"\ntank.volume = "${most('1').slice(0, -80)} "`],
    ['a spaced quantity', `name = "x"\ntank.volume = "1${most(' ').slice(0, -80)}1"`],
    ['a long dotted key', `${most('a.').slice(0, -9)} = 1`],
    ['a long header', `name = "x"\n[sensing.${most('a.').slice(0, -40)}]\nb = 1`],
    ['services', most('[[service]]\non = 2026-01-01\nnow.tank.volume = "9"\n')],
  ])('%s', (_, text) => {
    const begun = performance.now();
    expect(parseWellFile(text.slice(0, LONGEST_WELL_FILE)).ok).toBe(false);
    expect(performance.now() - begun).toBeLessThan(5000);
  });
});
