import { globSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { vectorFilesUnder } from '../../test/support/vectors.ts';

const formulas = globSync('src/physics/*/*.ts').filter((path) => !path.endsWith('.test.ts'));
const references = JSON.parse(readFileSync('docs/references.json', 'utf8'));
const nomenclature = readFileSync('docs/nomenclature.md', 'utf8');

describe('formula files', () => {
  it('are there to look at', () => {
    expect(formulas.length).toBeGreaterThan(20);
  });

  it('have a vectors file each, and no vectors file is without its formula', () => {
    const withVectors = vectorFilesUnder('src/physics').map(({ path }) => path);
    const wanted = formulas.map((path) => path.replace(/\.ts$/, '.vectors.json'));
    expect(withVectors.toSorted()).toEqual(wanted.toSorted());
  });

  it.each(formulas)('%s exports one function with a reference and units', (path) => {
    const text = readFileSync(path, 'utf8');
    const exported = [...text.matchAll(/^export (?:function|const) (\w+)/gm)].map(
      ([, name]) => name,
    );
    expect(exported).toHaveLength(1);
    const vectors = JSON.parse(readFileSync(path.replace(/\.ts$/, '.vectors.json'), 'utf8'));
    expect(vectors.function).toBe(exported[0]);
    expect(text).toMatch(/ \* @returns .*\[.+\]/);
    expect(text).toMatch(/ \* Reference: /);
  });
});

describe('docs/references.json', () => {
  const cited = new Set<string>();
  for (const path of formulas) {
    for (const [, key = ''] of readFileSync(path, 'utf8').matchAll(
      /\[([a-z0-9]+(?:-[a-z0-9]+)+)\]/g,
    )) {
      cited.add(key);
    }
  }
  for (const path of globSync('src/{units,physics}/**/*.vectors.json')) {
    for (const [, key = ''] of readFileSync(path, 'utf8').matchAll(/"reference": "([^"]+)"/g)) {
      cited.add(key);
    }
  }

  it('has every key that is cited, and none that nobody cites', () => {
    expect(cited.size).toBeGreaterThan(10);
    expect([...cited].toSorted()).toEqual(Object.keys(references).toSorted());
  });
});

describe('docs/nomenclature.md', () => {
  const suffixes = [...nomenclature.matchAll(/^\| `(\w+)`\s*\|/gm)].map(
    ([, suffix = '']) => suffix,
  );
  const plain = new Set([...nomenclature.matchAll(/^- `(\w+)`: /gm)].map(([, name]) => name));
  const sources = [...formulas, ...globSync('src/model/*.ts')];

  it('knows the unit of every number in physics and model by the end of its name', () => {
    expect(suffixes.length).toBeGreaterThan(10);
    const unknown: string[] = [];
    let seen = 0;
    for (const path of sources) {
      const text = readFileSync(path, 'utf8');
      for (const [, name = ''] of text.matchAll(
        /\b(\w+)\??: (?:number|Quantity)(?: \| null)?\b/g,
      )) {
        seen += 1;
        const bare = name.replace(/Std$/, '');
        const known = plain.has(bare) || suffixes.some((suffix) => bare.endsWith(suffix));
        if (!known) unknown.push(`${path}: ${name}`);
      }
    }
    expect(seen).toBeGreaterThan(100);
    expect(unknown).toEqual([]);
  });
});
