import { readFileSync } from 'node:fs';

/** Rows of the table under a heading of a page of docs, as cells without their back-ticks. */
export function rowsUnder(page: string, heading: string): string[][] {
  const text = readFileSync(new URL(`../../docs/${page}`, import.meta.url), 'utf8');
  const section = text.split(/^(?=## )/m).find((part) => part.startsWith(`${heading}\n`)) ?? '';
  return [...section.matchAll(/^\| *`.*\|$/gm)].map(([row]) =>
    row
      .split('|')
      .slice(1, -1)
      .map((cell) => cell.trim().replaceAll('`', '')),
  );
}
