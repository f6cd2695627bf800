import { nearestWord } from '../base/nearest.ts';
import type { Path } from './positions.ts';
import { Cell, isTable, type Source } from './source.ts';

/**
 * A TOML table being read. Asking for a key makes it a known one, so `close` can report the
 * keys that nobody asked for. A getter gives null for what is absent and for what is wrong;
 * the latter is reported.
 */
export class Table {
  readonly source: Source;
  readonly path: Path;
  readonly #values: Record<string, unknown>;
  readonly #known = new Set<string>();
  /** Keys that are not there and must be, with what was expected. */
  readonly #missing = new Map<string, string>();

  constructor(source: Source, path: Path, values: Record<string, unknown>) {
    this.source = source;
    this.path = path;
    this.#values = values;
  }

  keys(): string[] {
    return Object.keys(this.#values);
  }

  cell(key: string): Cell {
    this.#known.add(key);
    const given = Object.hasOwn(this.#values, key) ? this.#values[key] : undefined;
    return new Cell(this.source, [...this.path, key], given);
  }

  /** A cell that must be there; null, and reported by `close`, where it is not. */
  need(key: string, expected: string): Cell | null {
    const cell = this.cell(key);
    if (cell.isThere) return cell;
    this.#missing.set(key, expected);
    return null;
  }

  text(key: string): string | null {
    const cell = this.cell(key);
    if (typeof cell.given === 'string') return cell.given;
    return cell.isThere ? cell.wrongType('text in quotes') : null;
  }

  choice<T extends string>(key: string, words: readonly T[]): T | null {
    const cell = this.cell(key);
    return cell.isThere ? wordOf(cell, words) : null;
  }

  choices<T extends string>(key: string, words: readonly T[]): T[] {
    const cell = this.cell(key);
    const items = cell.isThere ? cell.items(`a list of words, of ${wordList(words)}`) : null;
    return (items ?? []).flatMap((item) => wordOf(item, words) ?? []);
  }

  /** A whole number in a range. */
  whole(key: string, least: number, most: number): number | null {
    const cell = this.cell(key);
    if (!cell.isThere) return null;
    const expected = `a whole number from ${least} to ${most}, without quotes`;
    if (typeof cell.given !== 'number') return cell.wrongType(expected);
    const isRight = Number.isInteger(cell.given) && cell.given >= least && cell.given <= most;
    return isRight ? cell.given : cell.impossible(expected);
  }

  /** A table inside; an empty one where there is none. */
  section(key: string): Table {
    const cell = this.cell(key);
    if (isTable(cell.given)) return new Table(this.source, cell.path, cell.given);
    if (cell.isThere) cell.wrongType(`a table, [${key}]`);
    return new Table(this.source, cell.path, {});
  }

  /** The tables of a list of tables. */
  records(key: string): Table[] {
    const cell = this.cell(key);
    const expected = `a table in double brackets, [[${key}]]`;
    const items = cell.isThere ? cell.items(expected) : null;
    return (items ?? []).flatMap((item) => {
      if (isTable(item.given)) return [new Table(this.source, item.path, item.given)];
      item.wrongType(expected);
      return [];
    });
  }

  /** Reports every key that nobody asked for, and every one that is missing. */
  close(): void {
    const known = [...this.#known];
    for (const key of this.keys()) {
      if (this.#known.has(key)) continue;
      const nearest = nearestWord(key, known);
      // A misspelt key is not missing as well.
      if (nearest !== null) this.#missing.delete(nearest);
      const expected = `one of ${known.join(', ')}${hint(nearest)}`;
      const said = { code: 'unknown-key', expected, found: key } as const;
      this.source.report([...this.path, key], 'key', said);
    }
    // Where something broken was left out of the file, the key may have been in it.
    if (!this.source.isWhole) return;
    for (const [key, expected] of this.#missing) {
      const said = { code: 'missing-key', expected, found: 'nothing' } as const;
      this.source.report([...this.path, key], 'key', said);
    }
  }
}

/** The nearest known word, as the end of an `expected`. */
export function nearestHint(word: string, known: readonly string[]): string {
  return hint(nearestWord(word, known));
}

const hint = (nearest: string | null) => (nearest === null ? '' : `; the nearest is ${nearest}`);

const wordList = (words: readonly string[]) => words.map((word) => `"${word}"`).join(', ');

function wordOf<T extends string>(cell: Cell, words: readonly T[]): T | null {
  const { given } = cell;
  if (typeof given !== 'string') return cell.wrongType(`one of ${wordList(words)}`);
  const word = words.find((one) => one === given);
  if (word !== undefined) return word;
  return cell.report('not-one-of', `one of ${wordList(words)}${nearestHint(given, words)}`);
}
