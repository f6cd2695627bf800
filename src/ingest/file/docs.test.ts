import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { SET_ASIDE } from '../../model/reading.ts';
import { LOG_ERRORS } from './log-types.ts';
import { MOST_CELLS } from './row-cells.ts';
import { BACKLOG_LIMIT } from './uptime.ts';

/** Text of a page, the padding of its tables left out. */
const doc = (name: string) =>
  readFileSync(new URL(`../../../docs/${name}`, import.meta.url), 'utf8').replaceAll(/ +/g, ' ');

/** First cells of every table row under a heading that hold a code. */
function codesUnder(text: string, heading: string): string[] {
  const section = text.split(/^(?=## )/m).find((part) => part.startsWith(`${heading}\n`)) ?? '';
  return [...section.matchAll(/^\| `([a-z-]+)` \|/gm)].map(([, code]) => code!);
}

describe('docs and code say the same, both ways', () => {
  it('log errors and reasons of docs/errors.md', () => {
    expect(codesUnder(doc('errors.md'), '## Logs')).toEqual([...LOG_ERRORS, ...SET_ASIDE]);
  });

  it('limits of docs/formats/logs.md', () => {
    const text = doc('formats/logs.md');
    expect(text).toContain(`| columns | ${MOST_CELLS} |`);
    const backlog = BACKLOG_LIMIT.toLocaleString('en-US').replace(',', ' ');
    expect(text).toContain(`| readings that wait for an anchor | ${backlog} |`);
  });
});
