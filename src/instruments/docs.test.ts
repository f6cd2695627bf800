import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parseWellFile } from '../wellfile/parse.ts';
import { parseSensing } from './chain/parse-sensing.ts';

const read = (path: string) => readFileSync(new URL(`../../${path}`, import.meta.url), 'utf8');
const sensing = read('docs/formats/sensing.md');
const page = read('docs/instruments.md');

/** First cells of the table under a heading, without their backquotes. */
function keysUnder(text: string, heading: string): string[] {
  const section = text.split(/^(?=#+ )/m).find((part) => part.startsWith(`${heading}\n`)) ?? '';
  return [...section.matchAll(/^\| `([^`]+)`/gm)].map(([, key = '']) => key);
}

/** Members of a union of words in a source file, after `name`. */
function wordsOf(path: string, name: string): string[] {
  const union = read(path).split(name)[1]?.split(';')[0] ?? '';
  return [...union.matchAll(/'([\w-]+)'/g)].map(([, word = '']) => word);
}

describe('docs/formats/sensing.md', () => {
  const parts = ['pressure', 'current', 'converter', 'bus', 'wiring', 'sampling'];
  const example = parseWellFile(/```toml\n([\s\S]*?)```/.exec(sensing)?.[1] ?? '');
  const given = (example.ok ? example.well.sensing : null) ?? {};

  it('shows an example that can be read', () => {
    expect(parseSensing(given).issues).toEqual([]);
  });

  it.each(parts)('has every key of %s, in the table and in the example', (part) => {
    // An unknown key far from all is told with the list of those that are known.
    const [issue] = parseSensing({ [part]: { qqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqq: 1 } }).issues;
    const known = issue?.expected.replace('a known key: one of ', '').split(', ') ?? [];
    expect(known.length).toBeGreaterThan(0);
    expect(keysUnder(sensing, `## \`[sensing.${part}]\``).toSorted()).toEqual(known.toSorted());
    expect(Object.keys(given[part] as object).toSorted()).toEqual(known.toSorted());
  });
});

describe('docs/instruments.md', () => {
  it('has every finding of the chain check, and no other', () => {
    const ids = wordsOf('src/instruments/chain/types.ts', 'export type FindingId');
    expect(ids.length).toBeGreaterThan(15);
    expect(keysUnder(page, '## Chain check')).toEqual(ids);
  });

  it('has every refusal of a calibration, and no other', () => {
    const ids = wordsOf('src/instruments/calibrate/types.ts', 'export interface Refusal {');
    expect(ids.length).toBeGreaterThan(6);
    expect(keysUnder(page, '## Calibrate').toSorted()).toEqual(ids.toSorted());
  });
});
