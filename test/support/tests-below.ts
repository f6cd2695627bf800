import { filesBelow, textOf } from './source-scan.ts';

/** What all tests below some folders say, as one text. */
export const testsBelow = (...folders: string[]): string =>
  folders
    .flatMap((folder) => filesBelow(folder))
    .filter((path) => /\.test\.ts$/.test(path) && !path.endsWith('docs.test.ts'))
    .map(textOf)
    .join('\n');

export const wordOf = (name: string): RegExp => new RegExp(`\\b${name}\\b`);
