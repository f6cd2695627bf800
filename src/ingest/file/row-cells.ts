/** Cells that are kept of a row, and columns that a log may have. */
export const MOST_CELLS = 1024;
const LF = 10;
const CR = 13;
const QUOTE = 34;

/**
 * Finds the cells of RFC 4180 rows in a buffer without copying them. After `scan`, cell i lies
 * in bytes `start[i]` to `end[i]`, without its quotes; `cells` may count more than are kept.
 */
export class RowCells {
  readonly start = new Int32Array(MOST_CELLS);
  readonly end = new Int32Array(MOST_CELLS);
  cells = 0;
  /** Line ends inside the row (in quoted cells). */
  innerLines = 0;
  /** A quote stands where RFC 4180 allows none: the row was parted without regard to quotes. */
  broken = false;
  /** The row ends with the text, not with a line end. */
  open = false;
  readonly #separator: number;

  constructor(separator: number) {
    this.#separator = separator;
  }

  /**
   * Parts the row at `from`. Returns where the next row starts, or -1 when its end is not in
   * the buffer; with `last`, the end of the buffer ends the row.
   */
  scan(bytes: Uint8Array, from: number, limit: number, last: boolean): number {
    const { start, end } = this;
    const separator = this.#separator;
    this.innerLines = 0;
    this.broken = false;
    this.open = false;
    let cells = 0;
    let cellStart = from;
    for (let at = from; at < limit; at++) {
      const byte = bytes[at]!;
      if (byte === separator) {
        if (cells < MOST_CELLS) {
          start[cells] = cellStart;
          end[cells] = at;
        }
        cells++;
        cellStart = at + 1;
      } else if (byte === LF || byte === CR) {
        return this.#close(bytes, { cells, cellStart, at, limit, last });
      } else if (byte === QUOTE && at === cellStart) {
        return this.#scanQuoted(bytes, from, limit, last);
      }
    }
    if (!last) return -1;
    this.open = true;
    return this.#close(bytes, { cells, cellStart, at: limit, limit, last });
  }

  #close(
    bytes: Uint8Array,
    row: { cells: number; cellStart: number; at: number; limit: number; last: boolean },
  ): number {
    const { cells, at, limit } = row;
    if (cells < MOST_CELLS) {
      this.start[cells] = row.cellStart;
      this.end[cells] = at;
    }
    this.cells = cells + 1;
    if (at >= limit) return limit;
    if (bytes[at] === LF) return at + 1;
    if (at + 1 < limit) return bytes[at + 1] === LF ? at + 2 : at + 1;
    return row.last ? limit : -1;
  }

  /** The same for a row with quotes; a misplaced quote parts the first line without quotes. */
  #scanQuoted(bytes: Uint8Array, from: number, limit: number, last: boolean): number {
    const separator = this.#separator;
    let cells = 0;
    let at = from;
    for (;;) {
      let cellStart = at;
      let cellEnd: number;
      if (bytes[at] === QUOTE) {
        cellStart = ++at;
        for (;;) {
          while (at < limit && bytes[at] !== QUOTE) {
            if (bytes[at] === LF) this.innerLines++;
            at++;
          }
          if (at + 1 >= limit && !last) return -1;
          if (at >= limit) return this.scanLiteral(bytes, from, limit, last);
          if (bytes[at + 1] !== QUOTE) break;
          at += 2;
        }
        cellEnd = at++;
      } else {
        while (at < limit && bytes[at] !== separator && bytes[at] !== LF && bytes[at] !== CR) at++;
        cellEnd = at;
      }
      if (at >= limit && !last) return -1;
      if (cells < MOST_CELLS) {
        this.start[cells] = cellStart;
        this.end[cells] = cellEnd;
      }
      cells++;
      if (at >= limit || bytes[at] === LF || bytes[at] === CR) {
        this.open = at >= limit;
        const next = this.#close(bytes, { cells: MOST_CELLS, cellStart, at, limit, last });
        this.cells = cells;
        return next;
      }
      if (bytes[at] !== separator) return this.scanLiteral(bytes, from, limit, last);
      at++;
    }
  }

  /** Parts the first line at `from` as if quotes were plain text. */
  scanLiteral(bytes: Uint8Array, from: number, limit: number, last: boolean): number {
    this.innerLines = 0;
    this.broken = true;
    let cells = 0;
    let cellStart = from;
    let at = from;
    for (; at < limit && bytes[at] !== LF && bytes[at] !== CR; at++) {
      if (bytes[at] !== this.#separator) continue;
      if (cells < MOST_CELLS) {
        this.start[cells] = cellStart;
        this.end[cells] = at;
      }
      cells++;
      cellStart = at + 1;
    }
    if (at >= limit && !last) return -1;
    this.open = at >= limit;
    return this.#close(bytes, { cells, cellStart, at, limit, last });
  }
}
