/**
 * Wall-clock time of an IANA zone and Unix seconds. The rules come from the zone data that
 * Intl carries; offsets are asked once per block of time and kept, so bulk use is cheap.
 */

const DAY_S = 86_400;
/**
 * Longest span that is taken to hold one change of offset at most. The closest pair of changes
 * in the zone data of recent decades is about four weeks apart (the month of fasting).
 */
const BLOCK_S = 2 ** 19;
/** 4096 blocks are 68 years; a log with wild times empties the store instead of growing it. */
const BLOCKS_KEPT = 4096;
/** 0001-01-03 and 9999-12-29: years 1 to 9999, less two days so that no offset leads outside. */
const EARLIEST_S = -62_135_596_800 + 2 * DAY_S;
const LATEST_S = Date.UTC(9999, 11, 29) / 1000;

interface Block {
  number: number;
  /** Unix s from which `afterS` holds; Infinity when nothing changes in the block. */
  changeS: number;
  beforeS: number;
  afterS: number;
}

interface ZoneRules {
  format: Intl.DateTimeFormat;
  blocks: Map<number, Block>;
  last: Block;
}

const zones = new Map<string, ZoneRules>();

/** Whether Intl knows the zone by a name; bare offsets such as `+02:00` are not names. */
export function isZone(zone: string): boolean {
  if (!/^[A-Za-z]/.test(zone)) return false;
  try {
    rulesOf(zone);
    return true;
  } catch {
    return false;
  }
}

/**
 * Offset of local time from UTC [s], east positive, at an instant [Unix s].
 * NaN outside the years 1 to 9999. Throws RangeError on a zone that Intl does not know.
 */
export function utcOffsetS(zone: string, unixS: number): number {
  const rules = rulesOf(zone);
  if (!(unixS > EARLIEST_S && unixS < LATEST_S)) return Number.NaN;
  const number = Math.floor(unixS / BLOCK_S);
  const block = rules.last.number === number ? rules.last : blockOf(rules, number);
  rules.last = block;
  return unixS >= block.changeS ? block.afterS : block.beforeS;
}

/**
 * Instants [Unix s, rising] at which the clocks of the zone show the given wall time: one as a
 * rule, two when the hour repeats, none when it is skipped or the date is not in the calendar.
 * `s` may have a fraction; 60 to 61 is a leap second and counts as the second that follows.
 */
export function localToUnixS(
  zone: string,
  y: number,
  mo: number,
  d: number,
  h: number,
  mi: number,
  s: number,
): number[] {
  const dayS = dayStartS(y, mo, d);
  if (Number.isNaN(dayS) || !isWhole(h, 0, 23) || !isWhole(mi, 0, 59)) return [];
  if (!(s >= 0 && s < 61)) return [];
  const wallS = dayS + h * 3600 + mi * 60 + s;
  const early = wallS - utcOffsetS(zone, wallS - DAY_S);
  const late = wallS - utcOffsetS(zone, wallS + DAY_S);
  return [...new Set([Math.min(early, late), Math.max(early, late)])].filter(
    (unixS) => unixS + utcOffsetS(zone, unixS) === wallS,
  );
}

/** Date of the zone's calendar at an instant [Unix s], `YYYY-MM-DD`; '' outside years 1 to 9999. */
export function localDate(zone: string, unixS: number): string {
  const offsetS = utcOffsetS(zone, unixS);
  return Number.isNaN(offsetS) ? '' : dateOfDay(Math.floor((unixS + offsetS) / DAY_S));
}

/**
 * First instant [Unix s] after the given one at which the zone's calendar shows a later date.
 * Where midnight is skipped it is the moment of the change, also over a skipped day.
 */
export function startOfNextLocalDayS(zone: string, unixS: number): number {
  const dayOf = (atS: number) => Math.floor((atS + utcOffsetS(zone, atS)) / DAY_S);
  const today = dayOf(unixS);
  if (Number.isNaN(today)) return Number.NaN;
  const [y, mo, d] = dateOfDay(today + 1)
    .split('-')
    .map(Number) as [number, number, number];
  const midnight = localToUnixS(zone, y, mo, d, 0, 0, 0).find((atS) => atS > unixS);
  if (midnight !== undefined) return midnight;
  const from = Math.floor(unixS);
  return firstWhere(from, from + 3 * DAY_S, (atS) => dayOf(atS) > today);
}

function rulesOf(zone: string): ZoneRules {
  const known = zones.get(zone);
  if (known) return known;
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone: zone,
    calendar: 'gregory',
    numberingSystem: 'latn',
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  });
  const none = { number: Number.NaN, changeS: 0, beforeS: 0, afterS: 0 };
  const rules = { format, blocks: new Map<number, Block>(), last: none };
  zones.set(zone, rules);
  return rules;
}

function blockOf(rules: ZoneRules, number: number): Block {
  const known = rules.blocks.get(number);
  if (known) return known;
  const fromS = number * BLOCK_S;
  const beforeS = askOffsetS(rules.format, fromS);
  const afterS = askOffsetS(rules.format, fromS + BLOCK_S);
  const changeS =
    beforeS === afterS
      ? Number.POSITIVE_INFINITY
      : firstWhere(fromS, fromS + BLOCK_S, (atS) => askOffsetS(rules.format, atS) !== beforeS);
  const block = { number, changeS, beforeS, afterS };
  if (rules.blocks.size >= BLOCKS_KEPT) rules.blocks.clear();
  rules.blocks.set(number, block);
  return block;
}

/** First whole second in (fromS, toS] where `holds` is true, given false before and true after. */
function firstWhere(fromS: number, toS: number, holds: (atS: number) => boolean): number {
  let low = fromS;
  let high = toS;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (holds(middle)) high = middle;
    else low = middle;
  }
  return high;
}

function askOffsetS(format: Intl.DateTimeFormat, unixS: number): number {
  const part: Record<string, number> = {};
  for (const { type, value } of format.formatToParts(unixS * 1000)) part[type] = Number(value);
  const dayS = dayStartS(part.year!, part.month!, part.day!);
  return dayS + part.hour! * 3600 + part.minute! * 60 + part.second! - unixS;
}

function isWhole(value: number, least: number, most: number): boolean {
  return Number.isInteger(value) && value >= least && value <= most;
}

/** Unix s of 00:00 UTC of a date; NaN when the calendar has no such date. */
function dayStartS(y: number, mo: number, d: number): number {
  if (!isWhole(y, 1, 9999) || !isWhole(mo, 1, 12) || !isWhole(d, 1, 31)) return Number.NaN;
  const date = new Date(0);
  date.setUTCFullYear(y, mo - 1, d);
  return date.getUTCDate() === d ? date.getTime() / 1000 : Number.NaN;
}

function dateOfDay(day: number): string {
  return new Date(day * DAY_S * 1000).toISOString().slice(0, 10);
}
