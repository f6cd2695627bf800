import { readFile } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { localToUnixS } from '../../base/zone.ts';
import type { Well } from '../../model/well.ts';
import { buildSystem, type System } from '../../simulation/build-system.ts';
import { cardFromWell, irrigationFromUses } from '../../simulation/card-from-well.ts';
import { SYSTEMS } from '../../simulation/catalogue.ts';
import { readTrace } from '../../simulation/household/trace.ts';
import type { Scenario } from '../../simulation/scenario.ts';
import { formatIssue } from '../../wellfile/issue.ts';
import { parseWellFile } from '../../wellfile/parse.ts';
import { UsageError } from '../usage.ts';
import type { ScenarioFile } from './scenario-file.ts';

/** A file's text; a gzipped one is unpacked. */
export async function textFrom(path: string, what: string): Promise<string> {
  const bytes = await readFile(path).catch((error: NodeJS.ErrnoException) => {
    throw new UsageError(`${path}: expected ${what}, found ${error.code ?? error.message}`);
  });
  const packed = bytes[0] === 0x1f && bytes[1] === 0x8b;
  return (packed ? gunzipSync(bytes) : bytes).toString('utf8');
}

/** A pure folder's RangeError becomes what a person at the command line can mend. */
function told<T>(where: string, make: () => T): T {
  try {
    return make();
  } catch (error) {
    if (error instanceof RangeError) throw new UsageError(`${where}: ${error.message}`);
    throw error;
  }
}

async function wellFrom(path: string): Promise<Well> {
  const parsed = parseWellFile(await textFrom(path, 'a well file'));
  if (parsed.ok) return parsed.well;
  throw new UsageError(parsed.issues.map((issue) => formatIssue(issue, path)).join('\n'));
}

async function systemFor(file: ScenarioFile, folder: string): Promise<System> {
  if (file.well === null) {
    const letter = file.system ?? 'B';
    if (SYSTEMS.some((s) => s.letter === letter)) return buildSystem(letter, file.seed);
    const known = SYSTEMS.map((s) => s.letter).join(', ');
    throw new UsageError(`system: expected one of ${known}, found "${letter}"`);
  }
  const path = resolve(folder, file.well);
  const well = await wellFrom(path);
  const card = told(path, () => cardFromWell(well));
  const system = buildSystem(card, file.seed);
  system.household.irrigation = irrigationFromUses(well.knownUses, 0.75 * card.classGpm);
  return system;
}

/** The scenario that a file describes; names of files are from the folder of `path`. */
export async function prepare(file: ScenarioFile, path: string): Promise<Scenario> {
  const folder = dirname(path);
  const system = await systemFor(file, folder);
  const { household } = system;
  if (file.people !== null) household.people = file.people;
  if (file.softener !== null) {
    household.softener = file.softener ? { everyDays: 4, gpm: 3.2, minutes: 55 } : null;
  }
  system.design.neighbours.push(...file.neighbours);
  household.guests.push(...file.guests);
  household.absences.push(...file.absences);
  if (file.trace !== null) {
    const at = resolve(folder, file.trace);
    const text = await textFrom(at, 'a trace of draws');
    household.trace = told(at, () => readTrace(text));
  }
  const [y, mo, d] = file.start.split('-').map(Number) as [number, number, number];
  const startS = localToUnixS(file.timeZone, y, mo, d, 0, 0, 0)[0];
  if (startS === undefined) throw new UsageError(`start: no midnight on ${file.start}`);
  const { timeZone, days, seed, faults, reporting, troubles, sensing, bucketDays } = file;
  const tests = file.tests.map(({ kind, onDay }) => ({ kind, atS: startS + onDay * 86_400 }));
  const asked = { faults, reporting, troubles, sensing, bucketDays, tests };
  return { system, timeZone, startS, days, seed, ...asked };
}
