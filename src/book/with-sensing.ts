import { parseSensing } from '../instruments/index.ts';
import { formatIssue, type WellFileIssue } from '../wellfile/issue.ts';
import { LineIndex } from '../wellfile/line-index.ts';
import { findPositions, pathName } from '../wellfile/positions.ts';
import { type KeyValues, withKeys } from '../wellfile/with-keys.ts';
import { wellOfText } from './read-text.ts';
import { BookRefusal } from './refusal.ts';

/**
 * The text with keys of `[sensing]` told anew. A refusal where the text is no file of this well, a
 * value cannot be, or the table is written in a way that only a hand can change.
 */
export function withSensing(
  text: string,
  keys: KeyValues,
  of: { wellId: string; name: string },
): string {
  wellOfText(text, of.wellId, of.name);
  const changed = withKeys(text, 'sensing', keys);
  if (changed === null) throw refused([byHand(text)], of.name);
  const { well } = wellOfText(changed, of.wellId, of.name);
  const told = Object.keys(keys).map((key) => `sensing.${key}`);
  const wrong = parseSensing(well.sensing ?? {}).issues.filter(({ key }) =>
    told.some((one) => key === one || one.startsWith(`${key}.`)),
  );
  if (wrong.length === 0) return changed;
  throw refused(
    wrong.map((issue) => ({ ...issue, code: 'impossible-value', ...placeOf(changed, issue.key) })),
    of.name,
  );
}

const refused = (issues: WellFileIssue[], name: string): BookRefusal =>
  new BookRefusal(
    'file-errors',
    issues.map((issue) => formatIssue(issue, name)).join('\n'),
    issues,
  );

const byHand = (text: string): WellFileIssue => ({
  code: 'impossible-value',
  key: 'sensing',
  ...placeOf(text, 'sensing'),
  expected: 'tables such as [sensing.pressure], a key a line',
  found: 'another way of writing it, which only a hand can change',
});

function placeOf(text: string, key: string): { line: number; column: number } {
  const span = findPositions(text).get(pathName(key.split('.')));
  return new LineIndex(text).place(span?.key ?? 0);
}
