import { CHANNELS, type Channel } from '../../model/reading.ts';
import type { QuantityKind } from '../../units/kinds.ts';
import { converterFor } from '../../units/parse.ts';
import type { LogOptions, LogProblem } from './log-types.ts';
import { MOST_CELLS } from './row-cells.ts';

/** What a unit does to the value of a channel: SI value = written value * scale + offset. */
export interface ChannelColumn {
  channel: number;
  scale: number;
  offset: number;
}

export interface ValueColumn extends ChannelColumn {
  at: number;
}

/** How the rows of one file are read. Columns are counted from 0; -1 is a column not there. */
export interface Plan {
  separator: number;
  /** Second decimal mark, 0 for none. */
  mark: number;
  width: number;
  time: number;
  uptime: number;
  uptimeScale: number;
  boot: number;
  /** Wide form: one column a channel. */
  values: ValueColumn[];
  /** Long form: one row a reading. */
  long: { name: number; value: number; unit: number } | null;
  /** The first row as it is written. */
  headings: string[];
  told: string[];
}

/** A first row that cannot be read. */
export interface BadHeader {
  headings: string[];
  problems: LogProblem[];
}

const COMMA = 44;
const FOREIGN = 'other headings are named by --column or [logging.columns]';
const SEPARATORS = [
  { byte: COMMA, text: ',', name: 'comma' },
  { byte: 59, text: ';', name: 'semicolon' },
  { byte: 9, text: '\t', name: 'tab' },
];

const WORDS = new Set<string>([...CHANNELS, 'time', 'uptime', 'boot', 'name', 'value', 'unit']);

const KINDS: Record<Channel, QuantityKind[]> = {
  pressure: ['pressure', 'absolute-pressure'],
  current: ['current'],
  'current-peak': ['current'],
  'start-time': ['time'],
  mains: ['voltage'],
  level: ['length'],
  flow: ['flow'],
  'air-temperature': ['temperature'],
  'pressure-raw': ['voltage', 'count'],
  'current-raw': ['voltage', 'count'],
};

/** A heading such as `pressure [psi]`, parted. */
export function partHeading(heading: string): { name: string; unit: string | null } {
  const [, name = '', unit] = /^([^[\]]*?)\s*(?:\[([^[\]]*)\])?$/.exec(heading.trim()) ?? [];
  return { name: name === '' ? heading.trim() : name.trim(), unit: unit?.trim() ?? null };
}

/** The channel and factors for a name and unit, or what is wrong with them. */
export function channelColumn(
  name: string,
  unit: string | null,
  atmospherePa: number,
): ChannelColumn | { wrong: 'unknown-channel' | 'wrong-unit'; says: string } {
  const channel = CHANNELS.indexOf(name.toLowerCase() as Channel);
  if (channel < 0) {
    return { wrong: 'unknown-channel', says: `expected a channel (${CHANNELS.join(', ')})` };
  }
  const kinds = KINDS[CHANNELS[channel]!];
  const converter = unit === null ? null : converterFor(unit);
  if (converter === null || !kinds.includes(converter.kind)) {
    const found = unit === null || unit === '' ? 'no unit' : `unit '${unit}'`;
    return {
      wrong: 'wrong-unit',
      says:
        `expected a unit of ${kinds.join(' or ')}, ` +
        `as in '${name} [${EXAMPLE_UNIT[kinds[0]!] ?? 'V'}]', found ${found}`,
    };
  }
  const absolute = converter.kind === 'absolute-pressure' ? atmospherePa : 0;
  return { channel, scale: converter.scale, offset: converter.offset - absolute };
}

const EXAMPLE_UNIT: Partial<Record<QuantityKind, string>> = {
  pressure: 'psi',
  current: 'A',
  time: 's',
  voltage: 'V',
  length: 'ft',
  flow: 'gpm',
  temperature: 'degC',
};

/** The plan for a file from its first row, or every problem of that row. */
export function planOf(row: string, options: LogOptions): Plan | BadHeader {
  const drafts = SEPARATORS.map((separator) => draft(row, separator, options));
  let best = drafts[0]!;
  for (const other of drafts) {
    if (other.known > best.known || (other.known === best.known && other.width > best.width)) {
      best = other;
    }
  }
  return best.finish();
}

interface Draft {
  known: number;
  width: number;
  finish(): Plan | BadHeader;
}

function draft(row: string, separator: (typeof SEPARATORS)[number], options: LogOptions): Draft {
  const written = partRow(row, separator.text).map((cell) => cell.trim());
  const renamed = new Map(Object.entries(options.columns).map(([k, v]) => [k.trim(), v]));
  const headings = written.map((cell) => partHeading(renamed.get(cell) ?? cell));
  const names = headings.map((heading) => heading.name.toLowerCase());
  return {
    known: names.filter((name) => WORDS.has(name)).length,
    width: written.length,
    finish: () => finish({ written, headings, names, separator }, options),
  };
}

interface Columns {
  written: string[];
  headings: { name: string; unit: string | null }[];
  names: string[];
  separator: (typeof SEPARATORS)[number];
}

function finish(columns: Columns, options: LogOptions): Plan | BadHeader {
  const { written, headings, names, separator } = columns;
  const problems: LogProblem[] = [];
  const plan: Plan = {
    separator: separator.byte,
    mark: separator.byte === COMMA ? 0 : COMMA,
    width: written.length,
    time: names.indexOf('time'),
    uptime: names.indexOf('uptime'),
    uptimeScale: 0.001,
    boot: names.indexOf('boot'),
    values: [],
    long: null,
    headings: written,
    told: [],
  };
  const name = names.indexOf('name');
  const value = names.indexOf('value');
  const isLong = name >= 0 && value >= 0;
  if (isLong) plan.long = { name, value, unit: names.indexOf('unit') };
  const own = ['time', 'uptime', 'boot', ...(isLong ? ['name', 'value', 'unit'] : [])];
  for (const [i, heading] of headings.entries()) {
    const where = `column ${i + 1} '${written[i]}'`;
    const again = names.indexOf(names[i]!) !== i;
    if (heading.name === '') continue;
    if (again && WORDS.has(names[i]!))
      problems.push({
        code: 'column-twice',
        says: `${where}: expected one such column, found another before it`,
      });
    else if (own.includes(names[i]!)) continue;
    else if (isLong) plan.told.push(`${where} was not read`);
    else addValue(plan, { at: i, where, ...heading, atmospherePa: options.atmospherePa, problems });
  }
  checkTime(plan, headings, problems);
  if (written.length > MOST_CELLS) {
    const says = `expected at most ${MOST_CELLS} columns, found ${written.length}`;
    problems.push({ code: 'too-many-columns', says });
  }
  if (!isLong && plan.values.length === 0 && problems.length === 0) {
    problems.push({
      code: 'no-channel-column',
      says:
        "expected a column for each channel, as in 'time,pressure [psi],current [A]', " +
        `found '${written.join(separator.text)}'; ${FOREIGN}`,
    });
  }
  if (separator.byte !== COMMA) plan.told.push(`the separator is the ${separator.name}`);
  return problems.length > 0 ? { headings: written, problems } : plan;
}

interface ValueHeading {
  at: number;
  where: string;
  name: string;
  unit: string | null;
  atmospherePa: number;
  problems: LogProblem[];
}

function addValue(plan: Plan, heading: ValueHeading): void {
  const column = channelColumn(heading.name, heading.unit, heading.atmospherePa);
  if (!('wrong' in column)) plan.values.push({ at: heading.at, ...column });
  else if (column.wrong === 'wrong-unit')
    heading.problems.push({ code: 'column-unit', says: `${heading.where}: ${column.says}` });
  else plan.told.push(`${heading.where} is no channel and was not read`);
}

function checkTime(plan: Plan, headings: Columns['headings'], problems: LogProblem[]): void {
  const uptimeUnit = headings[plan.uptime]?.unit ?? null;
  if (plan.uptime >= 0) {
    const converter = uptimeUnit === null ? null : converterFor(uptimeUnit);
    if (converter?.kind === 'time') plan.uptimeScale = converter.scale;
    else {
      const found = uptimeUnit === null ? 'no unit' : `unit '${uptimeUnit}'`;
      const where = `column ${plan.uptime + 1} 'uptime'`;
      problems.push({
        code: 'column-unit',
        says: `${where}: expected a unit of time, as in 'uptime [ms]', found ${found}`,
      });
    }
  }
  const anchored = plan.uptime >= 0 && plan.boot >= 0;
  if (plan.time < 0 && !anchored) {
    const found = plan.uptime >= 0 ? "'uptime' without 'boot'" : 'neither';
    problems.push({
      code: 'no-time-column',
      says: `expected a column 'time', or 'uptime [ms]' with 'boot', found ${found}; ${FOREIGN}`,
    });
  }
  if (plan.uptime >= 0 && plan.boot < 0 && plan.time >= 0) {
    plan.told.push("the column 'uptime' was not read: it needs a column 'boot'");
    plan.uptime = -1;
  }
}

/** The cells of one row of RFC 4180 text. */
function partRow(row: string, separator: string): string[] {
  const cells: string[] = [];
  let at = 0;
  for (;;) {
    if (row[at] === '"') {
      let end = at + 1;
      while (end < row.length && (row[end] !== '"' || row[end + 1] === '"')) {
        end += row[end] === '"' ? 2 : 1;
      }
      cells.push(row.slice(at + 1, end).replaceAll('""', '"'));
      at = row.indexOf(separator, end);
    } else {
      const end = row.indexOf(separator, at);
      cells.push(row.slice(at, end < 0 ? row.length : end));
      at = end;
    }
    if (at < 0) return cells;
    at++;
  }
}
