import { readFile } from 'node:fs/promises';
import type { Well } from '../../model/well.ts';
import { formatIssue } from '../../wellfile/issue.ts';
import { parseWellFile } from '../../wellfile/parse.ts';
import { UsageError } from '../usage.ts';

/** The text of a file someone named. */
export async function readNamed(file: string, what: string): Promise<string> {
  return readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    throw new UsageError(`${file}: expected ${what}, found ${error.code ?? error.message}`);
  });
}

/** The well of a well file, with what was told while reading; all that is wrong is said at once. */
export async function readWell(file: string): Promise<{ well: Well; told: string[] }> {
  const parsed = parseWellFile(await readNamed(file, 'a well file'));
  if (parsed.ok) return { well: parsed.well, told: parsed.told };
  throw new UsageError(parsed.issues.map((issue) => formatIssue(issue, file)).join('\n'));
}
