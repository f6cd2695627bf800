import { isZone } from '../base/zone.ts';
import type { Equipment, Quantity, Well } from '../model/well.ts';
import { type EquipmentRead, readEquipment } from './equipment.ts';
import { checkEquipment } from './equipment-checks.ts';
import type { WellFileIssue } from './issue.ts';
import { LineIndex } from './line-index.ts';
import { readOtherTests } from './other-tests.ts';
import { findPositions } from './positions.ts';
import { readQuantity } from './quantity.ts';
import {
  endedByServices,
  readBucketTest,
  readCalibration,
  readService,
  type ServiceRead,
} from './records.ts';
import { readEnergyPrice, readKnownUse, readLogging, readSensing } from './settings.ts';
import { Source } from './source.ts';
import { readToml, type SyntaxFault } from './syntax.ts';
import { Table } from './table.ts';
import { idFrom, WELL_ID } from './well-id.ts';

export type WellFileResult =
  | { ok: true; well: Well; told: string[] }
  | { ok: false; issues: WellFileIssue[] };

/** Some 8000 lines: far above any well book, low enough that a wrong file costs nothing. */
export const LONGEST_WELL_FILE = 2 ** 18;

/** Reads a well file. All that is wrong is listed, in the order of the file. */
export function parseWellFile(text: string): WellFileResult {
  if (text.length > LONGEST_WELL_FILE) return { ok: false, issues: [tooLarge(text)] };
  const { root, text: readable, faults } = readToml(text);
  const lines = new LineIndex(text);
  const issues = faults.map((fault) => syntaxIssue(lines, fault));
  if (root === null) return { ok: false, issues };
  const positions = findPositions(readable);
  const source = new Source({ text: readable, positions, lines, isWhole: issues.length === 0 });
  const well = readWell(new Table(source, [], root));
  issues.push(...source.issues);
  if (issues.length === 0 && well !== null) return { ok: true, well, told: source.told };
  issues.sort((a, b) => a.line - b.line || a.column - b.column);
  return { ok: false, issues };
}

function tooLarge(text: string): WellFileIssue {
  const expected = `at most ${LONGEST_WELL_FILE} characters`;
  const found = `${text.length} characters`;
  return { code: 'too-large', line: 1, column: 1, key: '', expected, found };
}

function syntaxIssue(lines: LineIndex, { offset, ...rest }: SyntaxFault): WellFileIssue {
  return { ...rest, ...lines.place(offset) };
}

/** Null only where `name` or the zone is not usable. The zone comes before all that has times. */
function readWell(root: Table): Well | null {
  const { source } = root;
  const name = root.need('name', 'the name of the well in quotes') && root.text('name');
  if (name !== null && (name.trim() === '' || /\p{Cc}/u.test(name))) {
    root.cell('name').impossible('a name of one line');
  }
  const id = readId(root, name ?? '');
  const timeZone = readZone(root);
  source.zone = timeZone;
  const altitudeM = readAltitude(root);
  const units = readUnits(root);
  const fromStart = readEquipment(root);
  checkEquipment(source, fromStart, fromStart);
  const services = readServices(root, fromStart);
  const serviceRecords = services.map(({ record }) => record);
  const calibrations = root.records('calibration').flatMap((table) => readCalibration(table) ?? []);
  const house = root.section('house');
  const people = house.whole('people', 0, 10_000);
  house.close();
  const rest = {
    energyPrice: readEnergyPrice(root.section('energy')),
    people,
    logging: readLogging(root.section('logging')),
    knownUses: root.records('known_use').map(readKnownUse),
    calibrations: endedByServices(calibrations, serviceRecords),
    bucketTests: root.records('bucket_test').flatMap((table) => readBucketTest(table) ?? []),
    otherTests: readOtherTests(root),
    services: serviceRecords,
    sensing: readSensing(root.cell('sensing')),
  };
  root.close();
  if (name === null || timeZone === null) return null;
  const equipment: Equipment = { ...NOTHING_KNOWN, ...fromStart.given };
  return { name, id, timeZone, altitudeM, units, equipment, ...rest };
}

function readId(root: Table, name: string): string {
  const given = root.text('id');
  if (given === null) {
    const id = idFrom(name);
    if (!root.cell('id').isThere) root.source.told.push(`id is not given: "${id}" is used.`);
    return id;
  }
  if (WELL_ID.test(given)) return given;
  const expected = `1 to 32 of a-z, 0-9 and hyphen, such as "${idFrom(given)}"`;
  root.cell('id').report('bad-id', expected);
  return '';
}

/** Null, and reported, where the file names no zone. */
function readZone(root: Table): string | null {
  const given = root.text('time_zone');
  if (given !== null) {
    const expected = 'the name of a time zone such as "America/Denver" or "UTC"';
    return isZone(given) ? given : root.cell('time_zone').report('bad-time-zone', expected);
  }
  if (root.cell('time_zone').isThere) return null;
  root.source.told.push('time_zone is not given: days and local times are in UTC.');
  return 'UTC';
}

/** Where most people live, with room for the rest (from memory). */
const UNKNOWN_ALTITUDE: Quantity = { value: 230, std: 400, source: 'guess', onS: null };

function readAltitude(root: Table): Quantity {
  const spec = { kind: 'length', least: '-1500 ft', most: '6000 m' } as const;
  const given = readQuantity(root.cell('altitude'), 'altitude', spec);
  if (given === null && !root.cell('altitude').isThere) {
    root.source.told.push('altitude is not given: 230 m (750 ft) give or take 400 m is used.');
  }
  return given ?? UNKNOWN_ALTITUDE;
}

function readUnits(root: Table): 'us' | 'si' {
  const units = root.choice('units', ['us', 'si']);
  if (!root.cell('units').isThere) {
    root.source.told.push('units is not given: "us" (psi, gal, gpm, ft) is used.');
  }
  return units ?? 'us';
}

/** Services in the order of time; each is checked on top of what held before it. */
function readServices(root: Table, fromStart: EquipmentRead): ServiceRead[] {
  const services = root.records('service').flatMap((table) => readService(table) ?? []);
  services.sort((a, b) => a.record.onS - b.record.onS);
  let state = fromStart;
  for (const { equipment } of services) {
    state = {
      given: { ...state.given, ...equipment.given },
      paths: { ...state.paths, ...equipment.paths },
    };
    checkEquipment(root.source, equipment, state);
  }
  return services;
}

const NOTHING_KNOWN: Equipment = {
  staticLevelM: null,
  casingM: null,
  pumpKind: null,
  motor: null,
  powerW: null,
  voltageV: null,
  phases: null,
  fullLoadCurrentA: null,
  serviceFactorCurrentA: null,
  ratedFlowM3PerS: null,
  intakeDepthM: null,
  curve: null,
  pipeMaterial: null,
  pipeInsideDiameterM: null,
  pipeLengthM: null,
  cableAreaM2: null,
  cableLengthM: null,
  tankVolumeM3: null,
  prechargePaGauge: null,
  tankRatedPaGauge: null,
  cutInPaGauge: null,
  cutOutPaGauge: null,
  reliefPaGauge: null,
};
