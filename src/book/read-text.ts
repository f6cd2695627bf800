import type { Well } from '../model/well.ts';
import { formatIssue, type WellFileIssue } from '../wellfile/issue.ts';
import { parseWellFile, type WellFileResult } from '../wellfile/parse.ts';
import { BookRefusal } from './refusal.ts';

/** A text read as the file of this well: another id is wrong, too. */
export function readAs(text: string, wellId: string): WellFileResult {
  const read = parseWellFile(text);
  if (!read.ok || read.well.id === wellId) return read;
  return { ok: false, issues: [otherId(text, wellId, read.well.id)] };
}

/** The well of a text; a refusal with all that is wrong. */
export function wellOfText(
  text: string,
  wellId: string,
  name: string,
): { well: Well; told: string[] } {
  const read = readAs(text, wellId);
  if (read.ok) return read;
  const says = read.issues.map((issue) => formatIssue(issue, name)).join('\n');
  throw new BookRefusal('file-errors', says, read.issues);
}

/** Readings are kept under the id, so a service that runs cannot change it. */
function otherId(text: string, expected: string, found: string): WellFileIssue {
  const place = text.split('\n').findIndex((line) => /^\s*id\s*=/.test(line));
  return {
    code: 'bad-id',
    line: Math.max(place, 0) + 1,
    column: 1,
    key: 'id',
    expected: `"${expected}": readings are kept under it (for another one start the service anew)`,
    found: `"${found}"`,
  };
}
