import { localToUnixS } from '../../base/zone.ts';
import type { SetAsideReason } from '../../model/reading.ts';
import { readNumber } from './number.ts';

/** From eleven digits on, a number is milliseconds. */
const LEAST_MS = 1e10;
/** A wall clock that steps back by more than this inside a repeated hour has been put back. */
const PUT_BACK_S = 60;
const DAY_S = 86_400;
const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

export type TimeForm = 'Unix seconds' | 'Unix milliseconds' | 'RFC 3339' | 'local time';

/** Reads the cells of a time column. Keeps what the repeated hour of local time needs. */
export class TimeReader {
  /** Why the last cell gave NaN. */
  reason: SetAsideReason = 'unreadable-time';
  readonly forms = new Set<TimeForm>();
  readonly #zone: string;
  readonly #mark: number;
  #form: TimeForm | null = null;
  #dateKey = -1;
  #dateS = Number.NaN;
  #secondPass = false;
  #latestWallS = Number.NEGATIVE_INFINITY;

  constructor(zone: string, mark: number) {
    this.#zone = zone;
    this.#mark = mark;
  }

  /** Unix s of the cell in bytes `from` to `to`, NaN when it tells no time. */
  read(bytes: Uint8Array, from: number, to: number): number {
    // A dash in fifth place parts a year from a month: no number looks so.
    if (to - from >= 10 && bytes[from + 4] === 45) return this.#readText(bytes, from, to);
    const value = readNumber(bytes, from, to, this.#mark);
    if (value >= LEAST_MS || value <= -LEAST_MS) {
      this.#saw('Unix milliseconds');
      return value / 1000;
    }
    if (!Number.isNaN(value)) {
      this.#saw('Unix seconds');
      return value;
    }
    let start = from;
    while (start < to && bytes[start] === 32) start++;
    this.reason = 'unreadable-time';
    return start > from ? this.#readText(bytes, start, to) : Number.NaN;
  }

  #saw(form: TimeForm): void {
    if (form === this.#form) return;
    this.#form = form;
    this.forms.add(form);
  }

  #readText(bytes: Uint8Array, from: number, end: number): number {
    this.reason = 'unreadable-time';
    let to = end;
    while (to > from && bytes[to - 1] === 32) to--;
    const year = digits(bytes, from, 4, to);
    const month = digits(bytes, from + 5, 2, to);
    const day = digits(bytes, from + 8, 2, to);
    const hour = digits(bytes, from + 11, 2, to);
    const minute = digits(bytes, from + 14, 2, to);
    const between = bytes[from + 10]! | 32;
    const marked =
      bytes[from + 4] === 45 && bytes[from + 7] === 45 && bytes[from + 13] === 58 && to > from + 15;
    if (!marked || (between !== 0x74 && between !== 32)) return Number.NaN;
    if (year < 0 || month < 0 || day < 0 || !(hour >= 0 && hour < 24)) return Number.NaN;
    if (!(minute >= 0 && minute < 60)) return Number.NaN;
    let at = from + 16;
    let second = 0;
    if (at < to && bytes[at] === 58) {
      second = digits(bytes, at + 1, 2, to);
      if (!(second >= 0 && second <= 60)) return Number.NaN;
      at += 3;
    }
    let fraction = 0;
    let places = 0;
    if (at < to && (bytes[at] === 46 || bytes[at] === 44)) {
      at++;
      for (; at < to && isDigit(bytes[at]!); at++) {
        if (places < 9) {
          fraction = fraction * 10 + bytes[at]! - 48;
          places++;
        }
      }
      if (places === 0) return Number.NaN;
    }
    const dateS = this.#dateStartS(year, month, day);
    const wallS = dateS + hour * 3600 + minute * 60 + second;
    if (at === to) {
      this.#saw('local time');
      const found = localToUnixS(this.#zone, year, month, day, hour, minute, second);
      return withFraction(this.#chosen(found, wallS), fraction, places);
    }
    const offsetS = offsetOf(bytes, at, to);
    if (Number.isNaN(offsetS)) return Number.NaN;
    this.#saw('RFC 3339');
    return withFraction(wallS - offsetS, fraction, places);
  }

  #dateStartS(year: number, month: number, day: number): number {
    const key = year * 10_000 + month * 100 + day;
    if (key !== this.#dateKey) {
      this.#dateKey = key;
      this.#dateS = isDate(year, month, day) ? daysSince1970(year, month, day) * DAY_S : Number.NaN;
    }
    return this.#dateS;
  }

  /** Of the instants at which the clocks show `wallS`, the one that the order of rows means. */
  #chosen(found: number[], wallS: number): number {
    if (found.length < 2) {
      this.#secondPass = false;
      this.#latestWallS = Number.NEGATIVE_INFINITY;
      if (found.length === 0 && !Number.isNaN(wallS)) this.reason = 'no-such-local-time';
      return found[0] ?? Number.NaN;
    }
    if (wallS < this.#latestWallS - PUT_BACK_S) {
      this.#secondPass = true;
      this.#latestWallS = wallS;
    } else this.#latestWallS = Math.max(this.#latestWallS, wallS);
    return found[this.#secondPass ? 1 : 0]!;
  }
}

/** Adds a decimal fraction with one rounding where the digits fit a double. */
function withFraction(unixS: number, fraction: number, places: number): number {
  if (places === 0) return unixS;
  const power = 10 ** places;
  const whole = unixS * power + fraction;
  return Math.abs(whole) < 2 ** 53 ? whole / power : unixS + fraction / power;
}

/** Offset of `Z` or `+hh:mm` from UTC [s]; NaN when it is neither. */
function offsetOf(bytes: Uint8Array, from: number, to: number): number {
  const first = bytes[from]!;
  if ((first | 32) === 0x7a) return to === from + 1 ? 0 : Number.NaN;
  if ((first !== 43 && first !== 45) || to !== from + 6 || bytes[from + 3] !== 58) {
    return Number.NaN;
  }
  const hour = digits(bytes, from + 1, 2, to);
  const minute = digits(bytes, from + 4, 2, to);
  if (!(hour >= 0 && hour < 24 && minute >= 0 && minute < 60)) return Number.NaN;
  return (first === 45 ? -1 : 1) * (hour * 3600 + minute * 60);
}

/** The number in exactly `count` digits, -1 when they are not all digits. */
function digits(bytes: Uint8Array, from: number, count: number, to: number): number {
  if (from + count > to) return -1;
  let value = 0;
  for (let i = from; i < from + count; i++) {
    const byte = bytes[i]!;
    if (!isDigit(byte)) return -1;
    value = value * 10 + byte - 48;
  }
  return value;
}

function isDigit(byte: number): boolean {
  return byte >= 48 && byte <= 57;
}

function isDate(year: number, month: number, day: number): boolean {
  if (month < 1 || month > 12 || day < 1) return false;
  const leap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  return day <= MONTH_DAYS[month - 1]! + (month === 2 && leap ? 1 : 0);
}

/** Days from 1970-01-01 in the Gregorian calendar: years begin in March so leap days come last. */
function daysSince1970(year: number, month: number, day: number): number {
  const y = month > 2 ? year : year - 1;
  const era = Math.floor(y / 400);
  const yearOfEra = y - era * 400;
  const dayOfYear = Math.floor((153 * ((month + 9) % 12) + 2) / 5) + day - 1;
  const dayOfEra =
    yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
  return era * 146_097 + dayOfEra - 719_468;
}
