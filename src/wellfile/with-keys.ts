import { parse } from 'smol-toml';
import { type BlockValue, writtenValue } from './add-block.ts';
import { findPositions, pathName, type Span } from './positions.ts';

/** Dotted keys below a table, each with its value; null takes the key out. */
export type KeyValues = Record<string, BlockValue>;

/**
 * The text with keys of a table put in, changed or taken out; every other line stays as it was.
 * Null where the table is written in a way that this cannot do. The text must be TOML.
 */
export function withKeys(text: string, table: string, keys: KeyValues): string | null {
  let changed = text;
  for (const [key, value] of Object.entries(keys)) {
    const path = [table, ...key.split('.')];
    changed = value === null ? without(changed, path) : put(changed, path, writtenValue(value));
  }
  return saysWhat(text, table, keys) === sorted(rootOf(changed)) ? changed : null;
}

function put(text: string, path: string[], value: string): string {
  const positions = findPositions(text);
  const own = positions.get(pathName(path));
  if (own !== undefined) return text.slice(0, own.start) + value + text.slice(own.end);
  const table = path.slice(0, -1);
  const pair = `${path.at(-1)} = ${value}`;
  const last = lastIn(positions, table);
  const inline = inlineStart(text, positions.get(pathName(table)));
  if (inline !== null && last === null) return insert(text, inline + 1, ` ${pair} `);
  if (last === null) return underHeader(text, table, pair);
  if (inline !== null) return insert(text, last.end, `, ${pair}`);
  const before = text.slice(lineStart(text, last.key), last.key);
  return afterLine(text, last.end, before + pair);
}

/** A note that stands behind the value stays. */
function without(text: string, path: string[]): string {
  const positions = findPositions(text);
  const own = positions.get(pathName(path));
  if (own === undefined) return text;
  if (inlineStart(text, positions.get(pathName(path.slice(0, -1)))) !== null) {
    const comma = /^\s*,\s*/.exec(text.slice(own.end));
    const from = comma ? own.key : text.slice(0, own.key).replace(/\s*,?\s*$/, '').length;
    return text.slice(0, from) + text.slice(own.end + (comma?.[0].length ?? 0));
  }
  const from = lineStart(text, own.key);
  const note = /^[ \t]*(#.*)?(\r?\n)?/.exec(text.slice(own.end))!;
  const kept = note[1] === undefined ? '' : note[1] + (note[2] ?? '');
  return text.slice(0, from) + kept + text.slice(own.end + note[0].length);
}

/** The key of a table that stands last in the text. */
function lastIn(positions: ReadonlyMap<string, Span>, table: string[]): Span | null {
  let last: Span | null = null;
  for (const [name, span] of positions) {
    const path = JSON.parse(name) as unknown[];
    const isIn = path.length === table.length + 1 && table.every((part, i) => part === path[i]);
    if (isIn && span.end > (last?.end ?? -1)) last = span;
  }
  return last;
}

/** Where a table written in braces begins; null where it is not. */
const inlineStart = (text: string, span: Span | undefined): number | null =>
  span !== undefined && text[span.start] === '{' ? span.start : null;

function underHeader(text: string, table: string[], pair: string): string {
  const header = new RegExp(`^[ \\t]*\\[[ \\t]*${table.join('[ \\t]*\\.[ \\t]*')}[ \\t]*\\]`, 'm');
  const found = header.exec(text);
  if (found !== null) return afterLine(text, found.index + found[0].length, pair);
  const end = endOf(text);
  const start = text === '' || text.endsWith('\n') ? text : text + end;
  return `${start}${end}[${table.join('.')}]${end}${pair}${end}`;
}

function afterLine(text: string, at: number, line: string): string {
  const next = text.indexOf('\n', at);
  const end = endOf(text);
  return next < 0 ? `${text}${end}${line}${end}` : insert(text, next + 1, line + end);
}

const endOf = (text: string): string => (text.includes('\r\n') ? '\r\n' : '\n');
const insert = (text: string, at: number, what: string): string =>
  text.slice(0, at) + what + text.slice(at);
const lineStart = (text: string, at: number): number => text.lastIndexOf('\n', at - 1) + 1;

type Tables = { [key: string]: unknown };

function rootOf(text: string): Tables | null {
  try {
    return parse(text);
  } catch {
    return null;
  }
}

const isTable = (value: unknown): value is Tables =>
  typeof value === 'object' && value !== null && !Array.isArray(value) && !(value instanceof Date);

/** What the text is to say then, in an order of its own. */
function saysWhat(text: string, table: string, keys: KeyValues): string {
  const root = rootOf(text);
  for (const [key, value] of Object.entries(keys)) {
    const path = [table, ...key.split('.')];
    let at: Tables | null = root;
    for (const part of path.slice(0, -1)) {
      if (at === null) break;
      if (value !== null) at[part] ??= {};
      const next: unknown = at[part];
      at = isTable(next) ? next : null;
    }
    const leaf = path.at(-1)!;
    if (value === null) delete at?.[leaf];
    else if (at !== null) at[leaf] = value;
  }
  return sorted(root);
}

/** Tables that say nothing count as not there. */
function sorted(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(sorted).join()}]`;
  if (!isTable(value)) return JSON.stringify(value);
  const parts = Object.entries(value)
    .map(([key, one]) => [JSON.stringify(key), sorted(one)] as const)
    .filter(([, one]) => one !== '{}')
    .sort(([a], [b]) => (a < b ? -1 : 1));
  return `{${parts.map((part) => part.join(':')).join()}}`;
}
