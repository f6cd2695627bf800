import { parse } from 'smol-toml';

/** Keys and places in lists from the root to a value; list places count from 0. */
export type Path = readonly (string | number)[];

/** Offsets into the text: where the key begins, and where the value begins and ends. */
export interface Span {
  key: number;
  start: number;
  end: number;
}

export type Positions = ReadonlyMap<string, Span>;

export const pathName = (path: Path): string => JSON.stringify(path);

/**
 * Where every key and value of a TOML document stands. The text must have been read without
 * error by the TOML library; on other text the answer is of no use, but there is one.
 */
export function findPositions(text: string): Positions {
  return new Scanner(text).document();
}

/** No key of ours has more parts; what goes deeper is placed at the part that it goes through. */
const MOST_PARTS = 32;

/** The key that begins at an offset, its parts decoded. */
export function keyAt(text: string, offset: number): string[] {
  return new Scanner(text, offset).key().map((part) => part.name);
}

class Scanner {
  readonly #text: string;
  readonly #spans = new Map<string, Span>();
  /** How many tables each array of tables has so far. */
  readonly #lists = new Map<string, number>();
  #at: number;

  constructor(text: string, at = 0) {
    this.#text = text;
    this.#at = at;
  }

  document(): Positions {
    let table: Path = [];
    this.#span([], { key: 0, start: 0, end: this.#text.length });
    if (this.#text.startsWith('\ufeff')) this.#at = 1;
    for (this.#skip(); this.#at < this.#text.length; this.#skip()) {
      const before = this.#at;
      if (this.#char() === '[') table = this.#header();
      else this.#pair(table);
      if (this.#at === before) this.#at++;
    }
    return this.#spans;
  }

  key(): { name: string; at: number }[] {
    const parts: { name: string; at: number }[] = [];
    do {
      this.#blanks();
      const at = this.#at;
      const name = this.#keyPart();
      if (parts.length < MOST_PARTS) parts.push({ name, at });
      this.#blanks();
    } while (this.#take('.'));
    return parts;
  }

  #header(): Path {
    this.#at++;
    const isList = this.#take('[');
    const parts = this.key();
    const path: (string | number)[] = [];
    for (const [place, { name, at }] of parts.entries()) {
      path.push(name);
      const isLast = place === parts.length - 1;
      this.#span(path, { key: at, start: at, end: this.#at });
      const count = this.#lists.get(pathName(path)) ?? 0;
      if (isLast && isList) this.#lists.set(pathName(path), count + 1);
      if (isLast && isList) path.push(count);
      else if (count > 0) path.push(count - 1);
      this.#span(path, { key: at, start: at, end: this.#at });
    }
    this.#take(']');
    if (isList) this.#take(']');
    return path;
  }

  #pair(table: Path): void {
    const parts = this.key();
    this.#take('=');
    this.#blanks();
    const path = [...table, ...parts.map((part) => part.name)];
    const start = this.#at;
    this.#value(path);
    for (const [place, { at }] of parts.entries()) {
      const upTo = path.slice(0, table.length + place + 1);
      this.#span(upTo, { key: at, start, end: this.#at });
    }
    this.#spans.set(pathName(path), { key: parts.at(-1)!.at, start, end: this.#at });
  }

  #value(path: Path): void {
    const start = this.#at;
    const first = this.#char();
    if (first === '"' || first === "'") this.#string();
    else if (first === '[') this.#items(']', (place) => this.#value([...path, place]));
    else if (first === '{') this.#items('}', () => this.#pair(path));
    else this.#bareValue();
    this.#span(path, { key: start, start, end: this.#at });
  }

  #items(close: string, item: (place: number) => void): void {
    this.#at++;
    for (let place = 0; this.#at < this.#text.length; place++) {
      this.#skip();
      if (this.#take(close)) return;
      const before = this.#at;
      item(place);
      this.#skip();
      this.#take(',');
      if (this.#at === before) this.#at++;
    }
  }

  #bareValue(): void {
    const found = /[^,\]}#\r\n]*/y;
    found.lastIndex = this.#at;
    this.#at += (found.exec(this.#text)?.[0] ?? '').trimEnd().length;
  }

  #keyPart(): string {
    const start = this.#at;
    const first = this.#char();
    if (first === '"' || first === "'") {
      this.#string();
      return unquoted(this.#text.slice(start, this.#at));
    }
    while (/[A-Za-z0-9_-]/.test(this.#char())) this.#at++;
    return this.#text.slice(start, this.#at);
  }

  #string(): void {
    const quote = this.#char();
    const isLong = this.#text.startsWith(quote.repeat(3), this.#at);
    const close = isLong ? quote.repeat(3) : quote;
    this.#at += close.length;
    while (this.#at < this.#text.length && !this.#text.startsWith(close, this.#at)) {
      this.#at += quote === '"' && this.#char() === '\\' ? 2 : 1;
    }
    this.#at = Math.min(this.#at + close.length, this.#text.length);
    // A long string may end in up to two quotes of its own before the closing three.
    for (let own = 0; isLong && own < 2 && this.#char() === quote; own++) this.#at++;
  }

  #skip(): void {
    const found = /(?:[ \t\r\n]+|#[^\n]*)*/y;
    found.lastIndex = this.#at;
    this.#at += found.exec(this.#text)?.[0].length ?? 0;
  }

  #blanks(): void {
    while (this.#char() === ' ' || this.#char() === '\t') this.#at++;
  }

  #take(char: string): boolean {
    if (this.#char() !== char) return false;
    this.#at++;
    return true;
  }

  #char(): string {
    return this.#text.charAt(this.#at);
  }

  /** The first place that mentions a table is where it stands. */
  #span(path: Path, span: Span): void {
    const name = pathName(path);
    if (!this.#spans.has(name)) this.#spans.set(name, span);
  }
}

function unquoted(written: string): string {
  if (!written.includes('\\')) return written.slice(1, -1);
  try {
    return Object.keys(parse(`${written}=0`))[0] ?? '';
  } catch {
    return written;
  }
}
