import { quoted, type WellFileIssue, type WellFileIssueCode } from './issue.ts';
import type { LineIndex } from './line-index.ts';
import { type Path, type Positions, pathName, type Span } from './positions.ts';

export interface SourceParts {
  text: string;
  positions: Positions;
  lines: LineIndex;
  /** False where something broken was left out: then a key that is not there is no news. */
  isWhole: boolean;
}

/** The text under the parsed values, and all that is found wrong or worth telling on the way. */
export class Source {
  readonly issues: WellFileIssue[] = [];
  readonly told: string[] = [];
  readonly isWhole: boolean;
  /** Zone of times without an offset; null where the file names none that is one. */
  zone: string | null = null;
  readonly #parts: SourceParts;

  constructor(parts: SourceParts) {
    this.#parts = parts;
    this.isWhole = parts.isWhole;
  }

  report(path: Path, at: 'key' | 'value', said: Said): null {
    const span = this.#span(path);
    const place = this.#parts.lines.place(at === 'key' ? span.key : span.start);
    this.issues.push({ ...said, ...place, key: keyText(path) });
    return null;
  }

  /** A value as the file writes it. */
  written(path: Path): string {
    const { start, end } = this.#span(path);
    return this.#parts.text.slice(start, end);
  }

  #span(path: Path): Span {
    for (let length = path.length; length > 0; length--) {
      const span = this.#parts.positions.get(pathName(path.slice(0, length)));
      if (span !== undefined) return span;
    }
    return { key: 0, start: 0, end: 0 };
  }
}

export interface Said {
  code: WellFileIssueCode;
  expected: string;
  found: string;
}

/** One value of the file and its place. The reports give null, the value that could not be read. */
export class Cell {
  readonly source: Source;
  readonly path: Path;
  /** As parsed; undefined where there is none. */
  readonly given: unknown;

  constructor(source: Source, path: Path, given: unknown) {
    this.source = source;
    this.path = path;
    this.given = given;
  }

  get isThere(): boolean {
    return this.given !== undefined;
  }

  get written(): string {
    return this.source.written(this.path);
  }

  /** The cells of a list; null, and reported, where it is none or has not this many items. */
  items(expected: string, least = 0, most = Number.POSITIVE_INFINITY): Cell[] | null {
    const { given } = this;
    if (!Array.isArray(given) || given.length < least || given.length > most) {
      return this.wrongType(expected);
    }
    return given.map((item, place) => new Cell(this.source, [...this.path, place], item));
  }

  wrongType(expected: string): null {
    return this.report('wrong-type', expected);
  }

  impossible(expected: string): null {
    return this.report('impossible-value', expected);
  }

  report(code: WellFileIssueCode, expected: string, found = described(this)): null {
    return this.source.report(this.path, 'value', { code, expected, found });
  }
}

/** A path as people read it: `service[2].now.tank.volume`, lists counted from 1. */
export function keyText(path: Path): string {
  let text = '';
  for (const part of path) {
    if (typeof part === 'number') text += `[${part + 1}]`;
    else {
      const name = /^[A-Za-z0-9_-]+$/.test(part) ? part : quoted(part);
      text += text === '' ? name : `.${name}`;
    }
  }
  return text;
}

export const isTable = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value) && !(value instanceof Date);

/** What a value is, for the `found` of an issue. */
function described({ given, written }: Cell): string {
  if (typeof given === 'string') return quoted(given);
  if (Array.isArray(given)) return written.length <= 40 ? written : `a list of ${given.length}`;
  return isTable(given) ? 'a table' : written.slice(0, 40);
}
