/** Line and column, counted from 1, of offsets into one text. */
export class LineIndex {
  readonly #text: string;
  readonly #starts: number[] = [0];

  constructor(text: string) {
    this.#text = text;
    for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) {
      this.#starts.push(at + 1);
    }
  }

  /** Columns count characters, not code units; a byte-order mark is none. */
  place(offset: number): { line: number; column: number } {
    let low = 0;
    let high = this.#starts.length;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (this.#starts[middle]! <= offset) low = middle;
      else high = middle;
    }
    const start = this.#starts[low]! + (low === 0 && this.#text.startsWith('\ufeff') ? 1 : 0);
    return { line: low + 1, column: [...this.#text.slice(start, offset)].length + 1 };
  }

  /** Offset of a line and a column in code units, as the TOML library gives them. */
  offset(line: number, column: number): number {
    const start = this.#starts[line - 1] ?? this.#text.length;
    return Math.min(start + column - 1, this.#text.length);
  }
}
