import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { rowsUnder } from '../../test/support/doc-rows.ts';
import { testsBelow, wordOf } from '../../test/support/tests-below.ts';
import { SENML_ISSUES } from '../messages/senml/resolve.ts';
import { COUNTED } from './counters.ts';
import { PROBLEMS } from './http/http-readings.ts';
import { LIMITS } from './limits.ts';
import { LIVE_REFUSALS } from './pack-reader.ts';

const code = (readdirSync(new URL('.', import.meta.url), { recursive: true }) as string[])
  .filter((path) => path.endsWith('.ts') && !/test\.ts$|^(limits|counters)\.ts$/.test(path))
  .concat('../cli/watch/service.ts')
  .map((path) => readFileSync(new URL(path, import.meta.url), 'utf8'))
  .join('\n');

const tests = testsBelow('src', 'test/intake', 'test/watch');

describe('pages of the intake say what the code has, both ways', () => {
  it('bounds and their counters of docs/limits.md', () => {
    const printed = rowsUnder('limits.md', '## Bounds').map((cells) => cells.slice(0, 3));
    const held = Object.entries(LIMITS).map(([name, { most, counter }]) => [
      name,
      String(most),
      counter ?? 'error at the start',
    ]);
    expect(printed).toEqual(held);
    for (const [name] of held) expect(tests, `${name} bites in a test`).toMatch(wordOf(name!));
    for (const [name] of held) expect(code).toMatch(new RegExp(`\\b${name}\\b`));
  });
  it('counters of docs/limits.md, each of which is counted', () => {
    const printed = rowsUnder('limits.md', '## What else is counted').map(([name]) => name);
    expect(printed).toEqual([...COUNTED]);
    const counters = [...COUNTED, ...Object.values(LIMITS).map(({ counter }) => counter)];
    for (const counter of counters) {
      if (counter === null || /^(held-|refused:)/.test(counter)) continue;
      expect(code, counter).toContain(`'${counter}'`);
    }
  });
  it('reasons of docs/errors.md', () => {
    const printed = rowsUnder('errors.md', '## Live readings').map(([name]) => name);
    expect(printed).toEqual([...LIVE_REFUSALS, ...SENML_ISSUES]);
  });
  it('problems of docs/formats/live-readings.md', () => {
    const printed = rowsUnder('formats/live-readings.md', '## What a device is told');
    expect(printed).toEqual(
      Object.entries(PROBLEMS).map(([name, [status, says]]) => [
        name,
        `${status}`,
        name === 'unreadable' || name === 'try-again' ? expect.stringContaining(says) : `${says}.`,
      ]),
    );
  });
});
