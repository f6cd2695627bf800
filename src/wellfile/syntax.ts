import { parse, TomlError } from 'smol-toml';
import { quoted, type WellFileIssueCode } from './issue.ts';
import { LineIndex } from './line-index.ts';
import { keyAt } from './positions.ts';
import { type Statement, statementsOf } from './statements.ts';

/** An error of syntax and its offset. */
export interface SyntaxFault {
  code: WellFileIssueCode;
  offset: number;
  key: string;
  expected: string;
  found: string;
}

export interface SyntaxResult {
  /** What could be read; null when too much is broken to say. */
  root: Record<string, unknown> | null;
  /** The text that `root` was read from: what is broken is blank, offsets are unchanged. */
  text: string;
  faults: SyntaxFault[];
}

const MOST_FAULTS = 20;
const DEEPEST = 32;

/**
 * Reads TOML and goes on after an error: the statement at fault is blanked and the rest read
 * again, so that one slip does not hide the others. Stops after twenty.
 */
export function readToml(whole: string): SyntaxResult {
  const lines = new LineIndex(whole);
  const faults: SyntaxFault[] = [];
  let text = whole;
  while (faults.length < MOST_FAULTS) {
    try {
      const root = parse(text, { maxDepth: DEEPEST, unsafeKeyBehaviour: 'throw' });
      return { root, text, faults };
    } catch (error) {
      if (!(error instanceof TomlError)) throw error;
      const offset = lines.offset(error.line, error.column);
      const statements = statementsOf(text);
      const place = placeOf(statements, offset);
      const openAt = statements[place]?.openAt ?? null;
      faults.push(openAt === null ? faultOf(whole, offset, error) : unclosed(whole, openAt));
      const without = withoutStatement(text, statements, place);
      if (without === text) break;
      text = without;
    }
  }
  return { root: null, text, faults };
}

/** The statement at fault: the one before, where its open bracket has swallowed this one. */
function placeOf(statements: readonly Statement[], offset: number): number {
  const place = Math.max(
    statements.findLastIndex(({ start }) => start <= offset),
    0,
  );
  const before = statements[place - 1];
  return before !== undefined && before.openAt !== null ? place - 1 : place;
}

function unclosed(text: string, offset: number): SyntaxFault {
  const found = `${restOfLine(text, offset)} that is never closed`;
  return { code: 'syntax', offset, key: '', expected: 'TOML 1.0 (a closing bracket)', found };
}

function faultOf(text: string, offset: number, error: TomlError): SyntaxFault {
  const said = error.message.split('\n')[0]!.replace('Invalid TOML document: ', '');
  if (said.includes('redefine')) {
    const key = keyAt(text, offset).join('.');
    return {
      code: 'duplicate-key',
      offset,
      key,
      expected: 'each key and each table once',
      found: `${quoted(key)} a second time`,
    };
  }
  const found = restOfLine(text, offset);
  return { code: 'syntax', offset, key: '', expected: `TOML 1.0 (${said})`, found };
}

function restOfLine(text: string, offset: number): string {
  const rest = text.slice(offset).split(/\r?\n/, 1)[0]!;
  return rest === '' ? 'the end of the line' : quoted(rest);
}

/** The text without a statement, offsets unchanged; a header takes its table with it. */
function withoutStatement(text: string, statements: readonly Statement[], place: number): string {
  const broken = statements[place];
  if (broken === undefined) return text;
  const end = broken.isHeader ? endOfTable(text, statements, place) : broken.end;
  return text.slice(0, broken.start) + blank(text.slice(broken.start, end)) + text.slice(end);
}

/** Up to the next header of another table: what belongs to a lost header cannot be placed. */
function endOfTable(text: string, statements: readonly Statement[], place: number): number {
  const rootOf = ({ start, end }: Statement) => /[\w-]+/.exec(text.slice(start, end))?.[0];
  const lost = rootOf(statements[place]!);
  const next = statements.slice(place + 1).find((one) => one.isHeader && rootOf(one) !== lost);
  return next?.start ?? text.length;
}

const blank = (text: string) => text.replaceAll(/[^\n]/g, ' ');
