import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { OTHER_TESTS } from '../model/well.ts';
import { leadingNumber } from '../units/number.ts';
import {
  BUCKET_UNCERTAINTY,
  DEFAULT_UNCERTAINTY,
  defaultStd,
  MEASURED_UNCERTAINTY,
  type UncertainKey,
} from './default-uncertainty.ts';
import { QUANTITIES } from './equipment.ts';
import { ISSUE_CODES } from './issue.ts';
import { LONGEST_WELL_FILE, parseWellFile } from './parse.ts';

const doc = (name: string) => readFileSync(new URL(`../../docs/${name}`, import.meta.url), 'utf8');
const wellFile = doc('formats/well-file.md');

/** The rows of the table under a heading, cells without their backquotes. */
function rowsUnder(text: string, heading: string): string[][] {
  const section = text.split(/^(?=#+ )/m).find((part) => part.startsWith(`${heading}\n`)) ?? '';
  const rows = section.split('\n').filter((line) => line.startsWith('|'));
  return rows.slice(2).map((row) =>
    row
      .split('|')
      .slice(1, -1)
      .map((cell) => cell.trim().replaceAll('`', '')),
  );
}

describe('docs and code say the same, both ways', () => {
  it('issue codes of docs/errors.md', () => {
    const documented = Object.fromEntries(rowsUnder(doc('errors.md'), '## Well file'));
    expect(documented).toEqual(ISSUE_CODES);
  });

  it('default uncertainty by key and source', () => {
    const documented = Object.fromEntries(
      rowsUnder(wellFile, '## Default uncertainty').map(
        ([key, measured, nameplate, drillersLog]) => [key, { measured, nameplate, drillersLog }],
      ),
    );
    expect(documented).toEqual(DEFAULT_UNCERTAINTY);
  });

  it('the guess column is three times the nameplate, as the code has it', () => {
    for (const [key, , nameplate, , guess] of rowsUnder(wellFile, '## Default uncertainty')) {
      const [one, three] = [leadingNumber(nameplate!), leadingNumber(guess!)];
      expect(three?.rest).toBe(one?.rest);
      expect(three?.value).toBeCloseTo(3 * one!.value, 9);
      const spec = { ...QUANTITIES, altitude: { kind: 'length' } as const }[key as UncertainKey];
      const of = { value: 7, kind: spec.kind };
      const std = defaultStd(key as UncertainKey, 'guess', of);
      expect(std).toBeCloseTo(3 * defaultStd(key as UncertainKey, 'nameplate', of), 9);
    }
  });

  it('uncertainty of what is measured in tests', () => {
    const documented = Object.fromEntries(rowsUnder(wellFile, '## Uncertainty of tests'));
    const { share, least } = BUCKET_UNCERTAINTY;
    const bucket = `${share}, not below ${least}`;
    expect(documented).toEqual({ ...MEASURED_UNCERTAINTY, 'bucket_test.volume': bucket });
  });

  it('bounds of every quantity of the equipment', () => {
    const documented = rowsUnder(wellFile, '## Equipment').filter(
      ([, kind]) => kind === 'quantity',
    );
    const known = Object.entries(QUANTITIES).map(([key, { least, most }]) => [key, least, most]);
    expect(documented.map(([key, , least, most]) => [key, least, most])).toEqual(known);
  });

  it('the kinds of test', () => {
    const documented = rowsUnder(wellFile, '## Tests').map(([kind]) => kind);
    expect(documented).toEqual(['bucket_test', ...OTHER_TESTS]);
  });

  it('the longest file', () => {
    expect(wellFile).toContain(`${LONGEST_WELL_FILE} characters`);
  });

  it('the example of the page is read without an issue', () => {
    const example = /```toml\n([\s\S]*?)```/.exec(wellFile)?.[1] ?? '';
    expect(parseWellFile(example)).toMatchObject({ ok: true, told: [] });
  });
});
