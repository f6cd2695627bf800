import { readFileSync } from 'node:fs';
import { studyLogs } from '../../src/cli/commands/study.ts';
import type { Study } from '../../src/model/study.ts';
import { parseWellFile } from '../../src/wellfile/parse.ts';

/** One row of the file: local time without a zone, read as UTC here and in the study. */
interface MachineRow {
  timeS: number;
  /** By the machine's own signal, which `study` does not see: COMP is 0 while it compresses. */
  loaded: boolean;
  motorA: number;
  bar: number;
}

export interface Spell {
  fromS: number;
  toS: number;
}

export interface CompressorResult {
  rows: number;
  study: Study;
  loads: Spell[];
  runs: Spell[];
  /** Share of rows, in %, at which a run of the study and a sign of the file say the same. */
  agreesWithMotorPercent: number;
  agreesWithLoadPercent: number;
  /** Fall of pressure, bar/s, by least squares: between loads, and between the study's runs. */
  fallBetweenLoads: number[];
  fallBetweenRuns: number[];
}

const COLUMNS = {
  timestamp: 'time',
  Reservoirs: 'pressure [bar]',
  Motor_current: 'current [A]',
};
/** Idle the motor takes 3.8 A, standing 0.04 A. */
const MOTOR_ON_A = 1;

function rowsOf(file: string): MachineRow[] {
  const [heading = '', ...lines] = readFileSync(file, 'utf8').trim().split('\n');
  const names = heading.split(',');
  const cell = (line: string, name: string): string => line.split(',')[names.indexOf(name)] ?? '';
  return lines.map((line) => ({
    timeS: Date.parse(`${cell(line, 'timestamp').replace(' ', 'T')}Z`) / 1000,
    loaded: Number(cell(line, 'COMP')) === 0,
    motorA: Number(cell(line, 'Motor_current')),
    bar: Number(cell(line, 'Reservoirs')),
  }));
}

function loadsOf(rows: MachineRow[]): Spell[] {
  const out: Spell[] = [];
  for (const [i, row] of rows.entries()) {
    if (row.loaded && !rows[i - 1]?.loaded) out.push({ fromS: row.timeS, toS: Infinity });
    if (!row.loaded && rows[i - 1]?.loaded) out.at(-1)!.toS = row.timeS;
  }
  return out;
}

/** Slope of pressure over time by least squares, from the end of each spell to the next. */
function fallBetween(rows: MachineRow[], spells: Spell[]): number[] {
  return spells.slice(0, -1).map(({ toS }, k) => {
    const within = rows.filter(({ timeS }) => timeS >= toS && timeS < spells[k + 1]!.fromS);
    const meanS = within.reduce((sum, { timeS }) => sum + timeS, 0) / within.length;
    const meanBar = within.reduce((sum, { bar }) => sum + bar, 0) / within.length;
    const tt = within.reduce((sum, { timeS }) => sum + (timeS - meanS) ** 2, 0);
    const tp = within.reduce((sum, row) => sum + (row.timeS - meanS) * (row.bar - meanBar), 0);
    return tp / tt;
  });
}

/** Studies the file by a mapping of columns and nothing else, and holds it against the file. */
export async function studyCompressor(file: string): Promise<CompressorResult> {
  const parsed = parseWellFile('name = "Compressor"\ntime_zone = "UTC"\n');
  if (!parsed.ok) throw new Error('the well file of this bench is wrong');
  const study = await studyLogs(parsed.well, [file], { columns: COLUMNS, told: [] });
  const rows = rowsOf(file);
  const loads = loadsOf(rows);
  const runs = study.runs.map(({ start, stop }) => ({
    fromS: Date.parse(start) / 1000,
    toS: stop === null ? Infinity : Date.parse(stop) / 1000,
  }));
  const agreement = (sign: (row: MachineRow) => boolean): number => {
    const same = rows.filter((row) => {
      const on = runs.some(({ fromS, toS }) => row.timeS >= fromS && row.timeS < toS);
      return on === sign(row);
    });
    return (100 * same.length) / rows.length;
  };
  return {
    rows: rows.length,
    study,
    loads,
    runs,
    agreesWithMotorPercent: agreement(({ motorA }) => motorA > MOTOR_ON_A),
    agreesWithLoadPercent: agreement(({ loaded }) => loaded),
    fallBetweenLoads: fallBetween(rows, loads),
    fallBetweenRuns: fallBetween(rows, runs),
  };
}
