/** A header or a key with its value, as far as broken text lets one tell; end is exclusive. */
export interface Statement {
  start: number;
  end: number;
  isHeader: boolean;
  /** The first bracket that is still open at the end; null where all are closed. */
  openAt: number | null;
}

/** Also a header that has lost its first bracket. */
const HEADER = /^(?:\[|[^=\n"']*\])/;

/** A line that can only be the start of something new, even where a bracket is still open. */
const NEW_KEY = /[ \t]*[A-Za-z0-9_-]+(?:[ \t]*\.[ \t]*[A-Za-z0-9_-]+)*[ \t]*=/y;
const NEW_HEADER = /[ \t]*\[{1,2}[ \t]*[A-Za-z_][\w.-]*[ \t]*\]{1,2}[ \t]*(?:#|\r?\n|$)/y;

/**
 * Cuts text into its statements without asking that they be right. Used only to step over what
 * the TOML library refused, so that the rest of the file can still be read.
 */
export function statementsOf(text: string): Statement[] {
  const found: Statement[] = [];
  let at = 0;
  while (at < text.length) {
    if (isBlank(text[at]!)) {
      at++;
      continue;
    }
    const { end, openAt } = endOf(text, at);
    found.push({ start: at, end, isHeader: HEADER.test(text.slice(at, end)), openAt });
    at = end;
  }
  return found;
}

const isBlank = (char: string) => /[\s\ufeff]/.test(char);

function endOf(text: string, start: number): { end: number; openAt: number | null } {
  const open: number[] = [];
  let at = start;
  while (at < text.length) {
    const char = text[at]!;
    if (char === '\n' && isOver(text, at + 1, open)) break;
    if (char === '"' || char === "'") at = afterString(text, at);
    else if (char === '#') at = lineEnd(text, at);
    else {
      if (char === '[' || char === '{') open.push(at);
      if (char === ']' || char === '}') open.pop();
      at++;
    }
  }
  return { end: Math.min(at + 1, text.length), openAt: open[0] ?? null };
}

function isOver(text: string, next: number, open: readonly number[]): boolean {
  if (open.length === 0) return true;
  if (startsAt(NEW_HEADER, text, next)) return true;
  return text[open.at(-1)!] === '[' && startsAt(NEW_KEY, text, next);
}

function startsAt(pattern: RegExp, text: string, at: number): boolean {
  pattern.lastIndex = at;
  return pattern.test(text);
}

function lineEnd(text: string, at: number): number {
  const end = text.indexOf('\n', at);
  return end < 0 ? text.length : end;
}

/** Past the closing quote; an unclosed short string ends with its line, a long one never. */
function afterString(text: string, at: number): number {
  const quote = text[at]!;
  const isLong = text.startsWith(quote.repeat(3), at);
  const close = isLong ? quote.repeat(3) : quote;
  const limit = isLong ? text.length : lineEnd(text, at);
  let end = at + close.length;
  while (end < limit && !text.startsWith(close, end)) {
    end += quote === '"' && text[end] === '\\' ? 2 : 1;
  }
  return Math.min(end + close.length, limit);
}
