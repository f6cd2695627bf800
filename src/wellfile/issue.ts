/** Every code an issue of a well file can have, and what it means; printed in docs/errors.md. */
export const ISSUE_CODES = {
  syntax: 'The text is not TOML at this place.',
  'too-large': 'The file is longer than a well file may be.',
  'duplicate-key': 'A key or a table stands twice.',
  'unknown-key': 'No such key here; the nearest known one is named.',
  'missing-key': 'A key that this table needs is not there.',
  'wrong-type': 'The value is of another type: text, number, date, list or table.',
  'missing-unit': 'A quantity has no unit.',
  'unknown-unit': 'The unit is not known.',
  'wrong-kind': 'The unit measures something else.',
  'not-a-number': 'No number can be read where one must stand.',
  'impossible-value': 'The value cannot be, by itself or beside another value of the file.',
  'not-one-of': 'The word is not one of those allowed here.',
  'bad-id': 'The id is not 1 to 32 of a-z, 0-9 and hyphen.',
  'bad-time-zone': 'The time zone is not the name of one.',
  'time-twice': 'The local time occurs twice, because the clocks went back.',
  'time-never': 'The local time never occurs, because the clocks went forward.',
  'stop-before-start': 'A test stops before or when it starts.',
} as const;

export type WellFileIssueCode = keyof typeof ISSUE_CODES;

/** One thing wrong in a well file. Line and column count from 1, columns in characters. */
export interface WellFileIssue {
  code: WellFileIssueCode;
  line: number;
  column: number;
  /** Dotted key, tables of a list counted from 1, as in `service[2].now.tank.volume`. */
  key: string;
  expected: string;
  found: string;
}

/** One line: where, what, expected, found. Control characters come out escaped. */
export function formatIssue(issue: WellFileIssue, fileName: string): string {
  const key = issue.key === '' ? '' : ` ${issue.key}:`;
  const { line, column, code, expected, found } = issue;
  return oneLine(
    `${fileName}:${line}:${column}:${key} expected ${expected}, found ${found} [${code}]`,
  );
}

const LONGEST_SHOWN = 60;

/** A piece of the file as `found` shows it: quoted, cut, on one line. */
export function quoted(text: string): string {
  const shown = text.length > LONGEST_SHOWN ? `${text.slice(0, LONGEST_SHOWN)}…` : text;
  return `"${oneLine(shown)}"`;
}

/** C0, C1, line separators and the marks that turn the direction of writing. */
const UNSHOWABLE = /[\p{Cc}\p{Zl}\p{Zp}\p{Bidi_Control}\p{Cs}]/gu;

function oneLine(text: string): string {
  return text.replaceAll(
    UNSHOWABLE,
    (mark) => `\\u${mark.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}
