import { CHANNELS, type Channel } from '../model/reading.ts';
import type { KnownUse, Logging, Well } from '../model/well.ts';
import { parseQuantity, type QuantityKind } from '../units/parse.ts';
import { type QuantitySpec, readSi } from './quantity.ts';
import { Cell, isTable } from './source.ts';
import { nearestHint, type Table } from './table.ts';

const DAY_S = 86_400;
const DAYS = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const;

export function readEnergyPrice(energy: Table): Well['energyPrice'] {
  const cell = energy.cell('price');
  energy.close();
  if (!cell.isThere) return null;
  const perJ = readSi(cell, { kind: 'energy-price', least: '0 USD/kWh', most: '1e6 USD/kWh' });
  const parsed = parseQuantity(String(cell.given), 'energy-price');
  return perJ === null || !parsed.ok ? null : { perJ, currency: parsed.unit };
}

const DEADBAND: QuantitySpec = { kind: 'pressure', least: '0 psi', most: '50 psi' };
const SILENCE: QuantitySpec = { kind: 'time', least: '0.01 s', most: '7 days' };

export function readLogging(logging: Table): Logging {
  const policy = logging.choice('policy', ['fixed', 'on-change']);
  const deadband = logging.cell('deadband');
  const silence = logging.cell('longest_silence');
  const columns = readColumns(logging.section('columns'));
  logging.close();
  return {
    policy,
    deadbandPa: deadband.isThere ? readSi(deadband, DEADBAND) : null,
    longestSilenceS: silence.isThere ? readSi(silence, SILENCE) : null,
    columns,
  };
}

/** Columns of a log that are no channels. */
const OTHER_COLUMNS = ['time', 'uptime', 'boot', 'seq', 'name', 'value', 'unit'];

const KINDS_OF: Record<Channel, readonly QuantityKind[]> = {
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

function readColumns(table: Table): Record<string, string> {
  const columns: Record<string, string> = {};
  for (const heading of table.keys()) {
    const ours = table.text(heading);
    if (ours !== null && isColumn(table.cell(heading), ours)) columns[heading] = ours;
  }
  return columns;
}

/** Whether a text names one of our columns; reported where it does not. */
function isColumn(cell: Cell, text: string): boolean {
  const [, before = text, unit] = /^([^[\]]*)(?:\[([^[\]]*)\])?$/.exec(text.trim()) ?? [];
  const name = before.trim();
  if (OTHER_COLUMNS.includes(name)) return true;
  const channel = CHANNELS.find((one) => one === name);
  if (channel === undefined) {
    const hint = nearestHint(name, [...CHANNELS, ...OTHER_COLUMNS]);
    cell.report('not-one-of', `a channel and its unit such as "pressure [psi]"${hint}`);
    return false;
  }
  if (unit === undefined) {
    cell.report('missing-unit', `"${channel} [unit]"`);
    return false;
  }
  const tries = KINDS_OF[channel].map((kind) => parseQuantity(`1 ${unit}`, kind));
  const refused = tries.find((one) => !one.ok);
  if (refused === undefined || tries.some((one) => one.ok)) return true;
  cell.report(refused.code === 'wrong-kind' ? 'wrong-kind' : 'unknown-unit', refused.expected);
  return false;
}

export function readKnownUse(use: Table): KnownUse {
  const what = use.text('what') ?? '';
  const days = use.cell('days').isThere ? use.choices('days', DAYS) : [...DAYS];
  const between = use.cell('between');
  use.close();
  const [fromS, toS] = (between.isThere ? readBetween(between) : null) ?? [0, DAY_S];
  return { what, days: days.map((day) => DAYS.indexOf(day)), fromS, toS };
}

/** Two clock times; the second may be the smaller one: then the use runs over midnight. */
export function readBetween(cell: Cell): [number, number] | null {
  const items = cell.items('two times of day such as ["04:00", "07:00"]', 2, 2);
  const [fromS, toS] = (items ?? []).map(readClock);
  if (fromS == null || toS == null) return null;
  return fromS === toS ? cell.impossible('two different times') : [fromS, toS];
}

function readClock(cell: Cell): number | null {
  const expected = 'a time of day such as "04:00"';
  if (typeof cell.given !== 'string') return cell.wrongType(expected);
  const [, h, mi] = /^(\d{1,2}):(\d\d)$/.exec(cell.given) ?? [];
  const clockS = Number(h) * 3600 + Number(mi) * 60;
  return Number(mi) < 60 && clockS <= DAY_S ? clockS : cell.impossible(expected);
}

/** `[sensing]` as plain data; dates become the text they are written as. */
export function readSensing(sensing: Cell): Record<string, unknown> | null {
  if (!sensing.isThere) return null;
  const data = plain(sensing);
  return isTable(data) ? data : sensing.wrongType('a table, [sensing]');
}

const DEEPEST = 32;

function plain(cell: Cell): unknown {
  const { source, path, given } = cell;
  if (path.length > DEEPEST) return cell.wrongType(`tables at most ${DEEPEST} deep`);
  const inner = (key: string | number, value: unknown) =>
    plain(new Cell(source, [...path, key], value));
  if (given instanceof Date) return source.written(path);
  if (Array.isArray(given)) return given.map((item, place) => inner(place, item));
  if (!isTable(given)) return given;
  return Object.fromEntries(Object.entries(given).map(([key, value]) => [key, inner(key, value)]));
}
