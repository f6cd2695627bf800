import { nearestWord } from '../../base/nearest.ts';
import { isZone } from '../../base/zone.ts';
import { FAULT_NAMES } from '../../model/faults.ts';
import { OTHER_TESTS, type OtherTest, type ResetKind } from '../../model/well.ts';
import { type FaultSpec, formsOf, type RehearsedFault } from '../../simulation/faults/faults.ts';
import type { NeighbourWell } from '../../simulation/plant/neighbours.ts';
import type { Scenario } from '../../simulation/scenario.ts';
import { NO_TROUBLES, type Troubles, USUAL_TROUBLES } from '../../simulation/sensing/delivery.ts';
import { type Reporting, usualReporting } from '../../simulation/sensing/reporting.ts';
import type { SensingDesign } from '../../simulation/sensing/sensors.ts';
import type { QuantityKind } from '../../units/parse.ts';
import { formatIssue } from '../../wellfile/issue.ts';
import { LineIndex } from '../../wellfile/line-index.ts';
import { findPositions } from '../../wellfile/positions.ts';
import { readSi } from '../../wellfile/quantity.ts';
import { type Cell, Source } from '../../wellfile/source.ts';
import { readToml } from '../../wellfile/syntax.ts';
import { Table } from '../../wellfile/table.ts';
import { UsageError } from '../usage.ts';

const FAULTS = FAULT_NAMES.filter((name) => name !== 'unknown-trouble') as RehearsedFault[];
const EXTRA_CHANNELS = ['current-peak', 'start-time', 'mains', 'air-temperature'] as const;
export type ExtraChannel = (typeof EXTRA_CHANNELS)[number];
const RESETS: readonly ResetKind[] = [
  'tank',
  'pump',
  'well',
  'switch',
  'pressure-sensor',
  'current-sensor',
  'plumbing',
];

export interface ServiceDone {
  onDay: number;
  did: string;
  resets: ResetKind[];
}

/** A test that the keeper is to make; part of a day tells the hour. */
interface TestPlanned {
  kind: OtherTest['kind'];
  onDay: number;
}

/** A fault as the command line names it. */
export function faultNamed(name: string): RehearsedFault {
  const known = FAULTS.find((fault) => fault === name);
  if (known !== undefined) return known;
  const nearest = nearestWord(name, FAULTS);
  const hint =
    nearest === null ? `one of ${FAULTS.join(', ')}` : `a fault; the nearest is ${nearest}`;
  throw new UsageError(`--fault: expected ${hint}, found "${name}"`);
}

/** A scenario file, read; what names another file or a system is still a name. */
export interface ScenarioFile
  extends Pick<Scenario, 'days' | 'seed' | 'faults' | 'reporting' | 'troubles' | 'sensing'> {
  name: string;
  /** A letter of the catalogue, or the path of a well file. */
  system: string | null;
  well: string | null;
  timeZone: string;
  /** Local date of the first day. */
  start: string;
  bucketDays: number[];
  tests: TestPlanned[];
  channels: ExtraChannel[];
  people: number | null;
  softener: boolean | null;
  trace: string | null;
  neighbours: NeighbourWell[];
  guests: { fromDay: number; toDay: number; people: number }[];
  absences: { fromDay: number; toDay: number }[];
  services: ServiceDone[];
}

/** Reads a scenario file; all that is wrong is listed in one error. */
export function readScenario(text: string, fileName: string): ScenarioFile {
  const { root, text: readable, faults } = readToml(text);
  const lines = new LineIndex(text);
  const issues = faults.map(({ offset, ...rest }) => ({ ...rest, ...lines.place(offset) }));
  const fail = (all: typeof issues): never => {
    throw new UsageError(all.map((issue) => formatIssue(issue, fileName)).join('\n'));
  };
  if (root === null) return fail(issues);
  const positions = findPositions(readable);
  const source = new Source({ text: readable, positions, lines, isWhole: issues.length === 0 });
  const file = readRoot(new Table(source, [], root));
  issues.push(...source.issues);
  return issues.length > 0 ? fail(issues) : file;
}

function readRoot(root: Table): ScenarioFile {
  const zone = root.text('time_zone') ?? 'UTC';
  if (!isZone(zone)) root.cell('time_zone').impossible('a zone such as "America/Denver"');
  const start = root.text('start') ?? '2026-04-06';
  if (!/^\d{4}-\d\d-\d\d$/.test(start) || Number.isNaN(Date.parse(start))) {
    root.cell('start').impossible('a date in quotes such as "2026-04-06"');
  }
  const house = root.section('household');
  const file: ScenarioFile = {
    name: root.text('name') ?? 'rehearsal',
    system: root.text('system'),
    well: root.text('well'),
    timeZone: zone,
    start,
    days: root.whole('days', 1, 4000) ?? 14,
    seed: root.whole('seed', 0, 2 ** 31) ?? 1,
    bucketDays: wholes(root.cell('bucket_tests_on_days')),
    tests: root.records('test').flatMap((table) => readTest(table) ?? []),
    ...readReporting(root.section('reporting')),
    troubles: readTroubles(root.section('delivery')),
    sensing: readSensing(root.section('sensing')),
    people: house.whole('people', 0, 40),
    softener: flag(house.cell('softener')),
    trace: house.text('trace'),
    neighbours: root.records('neighbour').map(readNeighbour),
    guests: root.records('guests').map(readGuests),
    absences: root.records('absence').map(readAbsence),
    faults: root.records('fault').flatMap((table) => readFault(table) ?? []),
    services: root.records('service').map(readService),
  };
  house.close();
  root.close();
  return file;
}

function number(cell: Cell, least: number, most: number): number | null {
  if (!cell.isThere) return null;
  const expected = `a number from ${least} to ${most}, without quotes`;
  if (typeof cell.given !== 'number') return cell.wrongType(expected);
  return cell.given >= least && cell.given <= most ? cell.given : cell.impossible(expected);
}

function flag(cell: Cell): boolean | null {
  if (!cell.isThere) return null;
  return typeof cell.given === 'boolean' ? cell.given : cell.wrongType('true or false');
}

function wholes(cell: Cell): number[] {
  const items = cell.isThere ? cell.items('a list of days, counted from 0') : null;
  return (items ?? []).flatMap((item) => number(item, 0, 4000) ?? []);
}

function si(table: Table, key: string, kind: QuantityKind, most: string): number | null {
  const cell = table.cell(key);
  return cell.isThere ? readSi(cell, { kind, least: most.replace(/^\S+/, '-$&'), most }) : null;
}

/** Only what is there. */
function given<T extends object>(values: { [K in keyof T]: T[K] | null }): Partial<T> {
  return Object.fromEntries(
    Object.entries(values).filter(([, value]) => value !== null),
  ) as Partial<T>;
}

function readReporting(table: Table): Pick<ScenarioFile, 'reporting' | 'channels'> {
  const policy = table.choice('policy', ['fast-while-running', 'fixed', 'on-change']);
  const restS = si(table, 'rest', 'time', '3600 s') ?? 5;
  const reporting = {
    ...usualReporting(policy ?? 'fast-while-running', restS),
    ...given<Reporting>({
      runS: si(table, 'running', 'time', '3600 s'),
      deadbandPa: si(table, 'pressure_deadband', 'pressure', '50 psi'),
      deadbandA: si(table, 'current_deadband', 'current', '50 A'),
      longestSilenceS: si(table, 'longest_silence', 'time', '7 days'),
    } as { [K in keyof Reporting]: Reporting[K] | null }),
  };
  const channels = table.choices('channels', EXTRA_CHANNELS);
  table.close();
  return { reporting, channels };
}

function readTroubles(table: Table): Troubles {
  const base = flag(table.cell('usual')) === true ? USUAL_TROUBLES : NO_TROUBLES;
  const share = (key: string) => number(table.cell(key), 0, 1);
  const troubles = {
    ...base,
    ...given<Troubles>({
      lostMinutes: share('lost_minutes'),
      duplicated: share('duplicated'),
      disordered: share('disordered'),
      outagesPerDay: number(table.cell('outages_per_day'), 0, 100),
      outageMeanS: si(table, 'outage_mean', 'time', '30 days'),
      backlogRows: number(table.cell('backlog_rows'), 0, 1e7),
      backlogFirst: flag(table.cell('backlog_first')),
      resetsPerWeek: number(table.cell('resets_per_week'), 0, 1e4),
      clockUnsetS: si(table, 'clock_unset', 'time', '1 day'),
      clockDriftPpm: number(table.cell('clock_drift_ppm'), -500, 500),
    }),
  };
  table.close();
  return troubles;
}

function readSensing(table: Table): Partial<SensingDesign> {
  const sensing = given<Partial<SensingDesign>>({
    pressureNoisePa: si(table, 'pressure_noise', 'pressure', '20 psi'),
    pressureOffsetPa: si(table, 'pressure_offset', 'pressure', '50 psi'),
    pressureGain: number(table.cell('pressure_gain'), 0.2, 5),
    pressureStepPa: si(table, 'pressure_step', 'pressure', '20 psi'),
    currentStepA: si(table, 'current_step', 'current', '10 A'),
    currentGain: number(table.cell('current_gain'), 0.2, 5),
    currentNoiseA: si(table, 'current_noise', 'current', '10 A'),
    currentFloorA: si(table, 'current_floor', 'current', '5 A'),
    rmsWindowS: si(table, 'rms_window', 'time', '60 s'),
  } as { [K in keyof SensingDesign]: SensingDesign[K] | null });
  table.close();
  return sensing;
}

function readNeighbour(table: Table): NeighbourWell {
  const distance = table.need('distance', 'how far away the well is, in quotes with its unit');
  const flow = table.need('flow', 'what it pumps, in quotes with its unit');
  const between = { kind: 'length', least: '2 ft', most: '5000 ft' } as const;
  const well = {
    distanceM: (distance && readSi(distance, between)) ?? 0,
    flowM3PerS: (flow && readSi(flow, { kind: 'flow', least: '0 gpm', most: '2000 gpm' })) ?? 0,
    fromHour: number(table.cell('from_hour'), 0, 24) ?? 0,
    toHour: number(table.cell('to_hour'), 0, 24) ?? 24,
  };
  table.close();
  return well;
}

function readGuests(table: Table) {
  const people = table.whole('people', 1, 40) ?? 1;
  const guests = { ...readPeriod(table), people };
  table.close();
  return guests;
}

function readAbsence(table: Table) {
  const absence = readPeriod(table);
  table.close();
  return absence;
}

function readPeriod(table: Table): { fromDay: number; toDay: number } {
  const fromDay = table.need('from_day', 'a day, counted from 0');
  const toDay = table.need('to_day', 'a day, counted from 0');
  const period = {
    fromDay: (fromDay && number(fromDay, 0, 4000)) ?? 0,
    toDay: (toDay && number(toDay, 0, 4000)) ?? 0,
  };
  if (period.toDay < period.fromDay) table.cell('to_day').impossible('a day not before from_day');
  return period;
}

function readFault(table: Table): FaultSpec | null {
  const name = table.need('name', 'the name of a fault') && table.choice('name', FAULTS);
  const onset = table.need('from_day', 'a day, counted from 0');
  const more = given<FaultSpec>({
    growthDays: number(table.cell('grows_days'), 0, 4000),
    severity: number(table.cell('severity'), 0, 3),
    mendedDay: number(table.cell('mended_on_day'), 0, 4000),
    form: name && formOf(table, name),
  } as { [K in keyof FaultSpec]: FaultSpec[K] | null });
  const onsetDay = onset && number(onset, 0, 4000);
  if (onsetDay !== null && more.mendedDay !== undefined && more.mendedDay < onsetDay) {
    table.cell('mended_on_day').impossible('a day not before from_day');
  }
  table.close();
  return name === null || onsetDay === null ? null : { name, onsetDay, ...more };
}

function formOf(table: Table, name: RehearsedFault): string | null {
  const forms = formsOf(name);
  if (forms.length > 0) return table.choice('form', forms);
  if (table.text('form') !== null) table.cell('form').impossible(`no form: ${name} has only one`);
  return null;
}

function readTest(table: Table): TestPlanned | null {
  const words = OTHER_TESTS.map((kind) => kind.replace('_test', ''));
  const name = table.need('name', 'the name of a test') && table.choice('name', words);
  const day = table.need('on_day', 'a day, counted from 0; 2.5 is noon of the third');
  const onDay = day && number(day, 0, 4000);
  table.close();
  const kind = OTHER_TESTS.find((one) => one.replace('_test', '') === name);
  return kind === undefined || onDay === null ? null : { kind, onDay };
}

function readService(table: Table): ServiceDone {
  const day = table.need('on_day', 'a day, counted from 0');
  const service = {
    onDay: (day && number(day, 0, 4000)) ?? 0,
    did: (table.need('did', 'what was done, in quotes') && table.text('did')) ?? '',
    resets: table.choices('resets', RESETS),
  };
  table.close();
  return service;
}
