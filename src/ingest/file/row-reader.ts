import type { SetAsideReason } from '../../model/reading.ts';
import { Collector, NO_CHANNEL, type Tally } from './collector.ts';
import { type ChannelColumn, channelColumn, type Plan, partHeading } from './header.ts';
import type { LogOptions } from './log-types.ts';
import { lastNumber, readNumber, saysNotFinite } from './number.ts';
import type { RowCells } from './row-cells.ts';
import { TimeReader } from './time.ts';
import { LEAST_SET_S, UptimeClock } from './uptime.ts';

/** Names with units that the long form remembers; a log has a handful. */
const NAMES_KEPT = 1000;

type Named = ChannelColumn | { wrong: 'unknown-channel' | 'wrong-unit' };

/** Turns the rows of one file into readings, by its plan. */
export class RowReader {
  readonly out = new Collector();
  readonly time: TimeReader;
  readonly #plan: Plan;
  readonly #options: LogOptions;
  readonly #tally: Tally;
  readonly #name: string;
  readonly #decode = new TextDecoder();
  readonly #uptime: UptimeClock | null;
  /** Fewest decimals seen in each column: a last cell with fewer may be half a cell. */
  readonly #decimals: Uint8Array;
  readonly #named = new Map<string, Named>();
  #bootId = 0;
  #uptimeS = 0;
  /** The row has no time of its own and its boot no anchor yet. */
  #waits = false;
  #line = 0;

  constructor(name: string, plan: Plan, options: LogOptions, tally: Tally) {
    this.#name = name;
    this.#plan = plan;
    this.#options = options;
    this.#tally = tally;
    this.time = new TimeReader(options.timeZone, plan.mark);
    this.#uptime = plan.uptime >= 0 && plan.boot >= 0 ? new UptimeClock() : null;
    this.#decimals = new Uint8Array(plan.width).fill(255);
  }

  /** Reads one row. `cutAtEnd`: the file is known to end inside it, should it have no line end. */
  row(bytes: Uint8Array, cells: RowCells, line: number, cutAtEnd: boolean): void {
    this.#line = line;
    if (cells.open && (cutAtEnd || this.#looksCut(bytes, cells))) {
      this.#asideRow(bytes, cells, 'cut-line');
    } else if (cells.broken || this.#hasMore(cells)) {
      this.#asideRow(bytes, cells, 'unreadable-value');
    } else if (this.#plan.long) this.#longRow(bytes, cells, this.#plan.long);
    else this.#wideRow(bytes, cells);
  }

  /** A line too long to be a row. */
  longLine(line: number): void {
    this.#line = line;
    this.#asideNone('unreadable-value', NO_CHANNEL);
  }

  finish(): void {
    this.#uptime?.finish(this);
  }

  add(timeS: number, channel: number, value: number): void {
    this.out.add(timeS, channel, value);
    this.#tally.used++;
  }

  aside(reason: SetAsideReason, at: string): void {
    this.#tally.aside(reason, at);
  }

  #wideRow(bytes: Uint8Array, cells: RowCells): void {
    const plan = this.#plan;
    const timeS = this.#rowTime(bytes, cells);
    const values = plan.values;
    for (let i = 0; i < values.length; i++) {
      const column = values[i]!;
      if (column.at >= cells.cells) continue;
      const from = cells.start[column.at]!;
      const to = cells.end[column.at]!;
      if (isEmpty(bytes, from, to)) continue;
      this.#reading(bytes, from, to, timeS, column.at, column);
    }
  }

  #longRow(bytes: Uint8Array, cells: RowCells, long: NonNullable<Plan['long']>): void {
    const timeS = this.#rowTime(bytes, cells);
    const name = this.#text(bytes, cells, long.name);
    const unit = this.#text(bytes, cells, long.unit);
    const column = this.#namedColumn(name, unit);
    if ('wrong' in column) {
      this.#asideNone(name === '' ? 'missing-cell' : column.wrong, NO_CHANNEL);
      return;
    }
    const { value } = long;
    const from = cells.start[value]!;
    const to = cells.end[value]!;
    if (value >= cells.cells || isEmpty(bytes, from, to)) {
      this.#asideNone('missing-cell', column.channel);
      return;
    }
    this.#reading(bytes, from, to, timeS, value, column);
  }

  #reading(
    bytes: Uint8Array,
    from: number,
    to: number,
    timeS: number,
    at: number,
    column: ChannelColumn,
  ): void {
    const { channel } = column;
    this.#tally.offered[channel]! += 1;
    const written = readNumber(bytes, from, to, this.#plan.mark);
    if (Number.isNaN(written)) {
      const reason = saysNotFinite(this.#decode.decode(bytes.subarray(from, to)))
        ? 'not-finite'
        : 'unreadable-value';
      this.#tally.aside(reason, this.#at());
      return;
    }
    const { decimals } = lastNumber;
    if (decimals < this.#decimals[at]!) this.#decimals[at] = decimals;
    const value = written * column.scale + column.offset;
    if (!Number.isNaN(timeS)) {
      if (Number.isFinite(value)) {
        this.out.add(timeS, channel, value);
        this.#tally.used++;
      } else this.#tally.aside('not-finite', this.#at());
    } else if (this.#waits && Number.isFinite(value)) {
      const boot = this.#bootId;
      const uptimeS = this.#uptimeS;
      this.#uptime?.wait({ boot, uptimeS, channel, value, at: this.#at() }, this);
    } else this.#tally.aside(this.time.reason, this.#at());
  }

  /** Unix s of the row; NaN with `#waits`, or with the reason in `time.reason`. */
  #rowTime(bytes: Uint8Array, cells: RowCells): number {
    const { time } = this.#plan;
    let timeS = Number.NaN;
    let told = false;
    if (time >= 0 && time < cells.cells) {
      const from = cells.start[time]!;
      const to = cells.end[time]!;
      told = !isEmpty(bytes, from, to);
      if (told || this.#uptime === null) timeS = this.time.read(bytes, from, to);
    } else this.time.reason = 'unreadable-time';
    if (this.#uptime === null) return timeS;
    this.#waits = false;
    if (told && Number.isNaN(timeS)) return timeS;
    return this.#anchoredTime(bytes, cells, timeS, this.#uptime);
  }

  #anchoredTime(bytes: Uint8Array, cells: RowCells, timeS: number, clock: UptimeClock): number {
    const plan = this.#plan;
    const uptime = this.#number(bytes, cells, plan.uptime);
    const boot = this.#number(bytes, cells, plan.boot);
    if (!Number.isNaN(boot)) this.#bootId = boot;
    if (!(uptime >= 0)) {
      this.time.reason = 'unreadable-time';
      return timeS;
    }
    this.#uptimeS = clock.unwrapped(this.#bootId, uptime * plan.uptimeScale);
    if (timeS >= LEAST_SET_S) {
      clock.anchor(this.#bootId, this.#uptimeS, timeS, this);
      return timeS;
    }
    const anchoredS = clock.timeOf(this.#bootId, this.#uptimeS);
    this.#waits = Number.isNaN(anchoredS);
    return anchoredS;
  }

  #number(bytes: Uint8Array, cells: RowCells, at: number): number {
    if (at >= cells.cells) return Number.NaN;
    return readNumber(bytes, cells.start[at]!, cells.end[at]!, this.#plan.mark);
  }

  #text(bytes: Uint8Array, cells: RowCells, at: number): string {
    if (at < 0 || at >= cells.cells) return '';
    const from = cells.start[at]!;
    const to = cells.end[at]!;
    let text = '';
    for (let i = from; i < to; i++) {
      if (bytes[i]! > 126) {
        text = this.#decode.decode(bytes.subarray(from, to));
        break;
      }
      text += String.fromCharCode(bytes[i]!);
    }
    return text.trim();
  }

  #namedColumn(name: string, unit: string): Named {
    const key = `${name}\n${unit}`;
    const known = this.#named.get(key);
    if (known !== undefined) return known;
    const { columns, atmospherePa } = this.#options;
    const heading = partHeading(Object.hasOwn(columns, name) ? columns[name]! : name);
    const last = heading.name.slice(heading.name.lastIndexOf('/') + 1);
    const own = unit === '' ? heading.unit : unit;
    const column = channelColumn(last, own, atmospherePa);
    if (this.#named.size < NAMES_KEPT) this.#named.set(key, column);
    return column;
  }

  /** Whether a row without a line end is the half of one. */
  #looksCut(bytes: Uint8Array, cells: RowCells): boolean {
    const { long, width } = this.#plan;
    const last = cells.cells - 1;
    const needed = long ? Math.max(long.name, long.value, this.#plan.time) : width - 1;
    if (last < needed) return true;
    const from = cells.start[last]!;
    const to = cells.end[last]!;
    if (isEmpty(bytes, from, to) || last >= width || bytes[to] === 34) return false;
    const seen = this.#decimals[last]!;
    if (seen === 255) return false;
    const value = readNumber(bytes, from, to, this.#plan.mark);
    return Number.isNaN(value) || lastNumber.decimals < seen;
  }

  #hasMore(cells: RowCells): boolean {
    for (let i = this.#plan.width; i < cells.cells; i++) {
      if (i >= cells.end.length || cells.end[i]! > cells.start[i]!) return true;
    }
    return false;
  }

  /** Sets every reading of the row aside; a row without one counts as one of no channel. */
  #asideRow(bytes: Uint8Array, cells: RowCells, reason: SetAsideReason): void {
    let any = false;
    for (const column of this.#plan.values) {
      const from = cells.start[column.at]!;
      if (column.at >= cells.cells || isEmpty(bytes, from, cells.end[column.at]!)) continue;
      this.#asideNone(reason, column.channel);
      any = true;
    }
    if (!any) this.#asideNone(reason, NO_CHANNEL);
  }

  #asideNone(reason: SetAsideReason, channel: number): void {
    this.#tally.offered[channel]! += 1;
    this.#tally.aside(reason, this.#at());
  }

  #at(): string {
    return `${this.#name}:${this.#line}`;
  }
}

function isEmpty(bytes: Uint8Array, from: number, to: number): boolean {
  for (let i = from; i < to; i++) if (bytes[i] !== 32 && bytes[i] !== 9) return false;
  return true;
}
