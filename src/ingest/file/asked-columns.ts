import { nearestWord } from '../../base/nearest.ts';
import type { LogProblem } from './log-types.ts';

const MOST_NAMED = 20;

/** A problem for each heading that a person named and no first row has. */
export function absentColumns(
  asked: readonly string[] | undefined,
  headings: readonly string[],
): LogProblem[] {
  const absent = (asked ?? []).filter((heading) => !headings.includes(heading));
  return absent.map((heading) => {
    const there = `${inWords(headings)}${nearestHint(heading, headings)}`;
    return {
      code: 'column-absent',
      says: `--column: expected a heading of the log, found '${heading}'; ${there}`,
    };
  });
}

/** Headings that the well file names and no first row has: told, as it serves several logs. */
export function unmetColumns(named: readonly string[], headings: readonly string[]): string[] {
  return named
    .filter((heading) => !headings.includes(heading))
    .map((heading) => {
      const hint = nearestHint(heading, headings);
      return `[logging.columns] names a heading '${heading}', which no log here has${hint}`;
    });
}

function nearestHint(heading: string, headings: readonly string[]): string {
  const nearest = nearestWord(heading, headings);
  return nearest === null ? '' : `; the nearest is '${nearest}'`;
}

function inWords(headings: readonly string[]): string {
  if (headings.length === 0) return 'the log has no headings';
  const named = headings.slice(0, MOST_NAMED).map((heading) => `'${heading}'`);
  const more = headings.length - named.length;
  return `its headings are ${named.join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
}
