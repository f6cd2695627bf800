import { absentColumns } from './asked-columns.ts';
import type { Collector, Tally } from './collector.ts';
import { type Plan, planOf } from './header.ts';
import { LogError, type LogOptions } from './log-types.ts';
import { RowCells } from './row-cells.ts';
import { RowReader } from './row-reader.ts';

/** A longer row is not a row: its first line is set aside and reading goes on after it. */
export const LONGEST_ROW = 65_536;
const LF = 10;
const CR = 13;
const NOTHING = new Uint8Array(0);

/** Reads one CSV file handed over in pieces cut anywhere. */
export class CsvLog {
  readonly #name: string;
  readonly #options: LogOptions;
  readonly #tally: Tally;
  /** The first row, once it was read. */
  headings: string[] = [];
  #plan: Plan | null = null;
  #reader: RowReader | null = null;
  #cells = new RowCells(0);
  #carry: Uint8Array = NOTHING;
  #line = 1;
  #skipping = false;

  constructor(name: string, options: LogOptions, tally: Tally) {
    this.#name = name;
    this.#options = options;
    this.#tally = tally;
  }

  get out(): Collector | null {
    return this.#reader?.out ?? null;
  }

  /** Reads every row that ends in the bytes so far; keeps the rest for the next piece. */
  push(piece: Uint8Array): void {
    let bytes = piece;
    if (this.#carry.length > 0) {
      bytes = new Uint8Array(this.#carry.length + piece.length);
      bytes.set(this.#carry);
      bytes.set(piece, this.#carry.length);
    }
    const at = this.#read(bytes, false, false);
    this.#carry = at < bytes.length ? bytes.slice(at) : NOTHING;
  }

  /** Reads the last row. `cut`: the file is known to end before its end. */
  finish(cut: boolean): void {
    const bytes = this.#carry;
    this.#carry = NOTHING;
    this.#read(bytes, true, cut);
    if (this.#reader === null) {
      const says =
        `${this.#name}: expected a first row such as ` +
        "'time,pressure [psi],current [A]', found an empty file";
      throw new LogError([{ code: 'empty-log', says }]);
    }
    this.#reader.finish();
  }

  told(): string[] {
    const told = [...(this.#plan?.told ?? [])];
    const forms = this.#reader?.time.forms ?? new Set();
    if (forms.has('local time')) {
      told.push(`the time column is local time, taken in ${this.#options.timeZone}`);
    }
    for (const form of forms) if (form !== 'local time') told.push(`times are ${form}`);
    return told;
  }

  #read(bytes: Uint8Array, last: boolean, cut: boolean): number {
    let at = 0;
    if (this.#reader === null) {
      at = this.#header(bytes, last);
      if (this.#reader === null) return at;
    }
    const reader: RowReader = this.#reader;
    const cells = this.#cells;
    const limit = bytes.length;
    while (at < limit) {
      if (this.#skipping) {
        at = this.#skip(bytes, at, last);
        if (this.#skipping) return at;
        continue;
      }
      let next = cells.scan(bytes, at, limit, last);
      if (next < 0 && limit - at <= LONGEST_ROW) return at;
      if (next < 0 || next - at > LONGEST_ROW) {
        next = cells.scanLiteral(bytes, at, Math.min(limit, at + LONGEST_ROW), false);
        if (next < 0) {
          reader.longLine(this.#line);
          this.#skipping = true;
          at += LONGEST_ROW;
          continue;
        }
      }
      const blank = cells.cells === 1 && cells.end[0]! <= cells.start[0]!;
      if (!blank) reader.row(bytes, cells, this.#line, cut);
      this.#line += 1 + cells.innerLines;
      at = next;
    }
    return at;
  }

  /** Goes on past the end of a line too long to be a row. */
  #skip(bytes: Uint8Array, from: number, last: boolean): number {
    let at = from;
    while (at < bytes.length && bytes[at] !== LF && bytes[at] !== CR) at++;
    if (at >= bytes.length) return at;
    if (bytes[at] === CR && at + 1 >= bytes.length && !last) return at;
    this.#skipping = false;
    this.#line++;
    return bytes[at] === CR && bytes[at + 1] === LF ? at + 2 : at + 1;
  }

  /** Takes the first row that is not blank; returns where reading goes on. */
  #header(bytes: Uint8Array, last: boolean): number {
    if (bytes.length < 3 && !last) return 0;
    let at = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
    const probe = new RowCells(256);
    let line = 1;
    while (at < bytes.length) {
      const next = probe.scan(bytes, at, bytes.length, last);
      if (next < 0 && bytes.length - at <= LONGEST_ROW) return 0;
      const end = next < 0 || next - at > LONGEST_ROW ? at + LONGEST_ROW : next;
      const text = new TextDecoder().decode(bytes.subarray(at, end)).replace(/[\r\n]+$/, '');
      at = end;
      if (text.trim() !== '') {
        this.#begin(text, line);
        this.#line = line + 1 + probe.innerLines;
        return at;
      }
      line++;
    }
    return last ? at : 0;
  }

  #begin(text: string, line: number): void {
    const plan = planOf(text, this.#options);
    this.headings = plan.headings;
    const problems = absentColumns(this.#options.asked, plan.headings);
    if ('problems' in plan) problems.push(...plan.problems);
    const where = `${this.#name}: line ${line}`;
    if (problems.length > 0 || 'problems' in plan) {
      throw new LogError(problems.map(({ code, says }) => ({ code, says: `${where}: ${says}` })));
    }
    this.#plan = plan;
    this.#cells = new RowCells(plan.separator);
    this.#reader = new RowReader(this.#name, plan, this.#options, this.#tally);
  }
}
