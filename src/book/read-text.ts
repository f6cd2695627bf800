import type { Well } from '../model/well.ts';
import { formatIssue, type WellFileIssue } from '../wellfile/issue.ts';
import { parseWellFile } from '../wellfile/parse.ts';
import { BookRefusal } from './refusal.ts';

/** All that is wrong in a text as the file of this well. */
export function issuesOf(text: string, wellId: string): WellFileIssue[] {
  const read = parseWellFile(text);
  if (!read.ok) return read.issues;
  return read.well.id === wellId ? [] : [otherId(text, wellId, read.well.id)];
}

/** The well of a text; a refusal with all that is wrong. */
export function wellOfText(
  text: string,
  wellId: string,
  name: string,
): { well: Well; told: string[] } {
  const issues = issuesOf(text, wellId);
  const read = parseWellFile(text);
  if (issues.length === 0 && read.ok) return read;
  const says = issues.map((issue) => formatIssue(issue, name)).join('\n');
  throw new BookRefusal('file-errors', says, issues);
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
