import { setImmediate as turn } from 'node:timers/promises';
import { instant } from '../../base/instant.ts';
import { StoreDamaged } from '../../ports/reading-store.ts';
import type { Summary } from '../bucket-sums.ts';
import type { Database } from './database.ts';
import { hourOf, sealedOf, summaryOf } from './hour.ts';
import { checkSnapshots } from './snapshots.ts';

const ROWS_A_TURN = 200;

export interface Checked {
  chunks: number;
  readings: number;
  /** Those that are sound. */
  snapshots: number;
  /** What is wrong and where; empty where all is well. */
  problems: string[];
}

type SummaryRow = Summary & { stream: number; hour: number; rawFrom: number | null };

/** The database's own check; then every chunk is decoded, and its summary made anew. */
export async function checkDatabase(db: Database): Promise<Checked> {
  const checked: Checked = { chunks: 0, readings: 0, snapshots: 0, problems: [] };
  const { problems } = checked;
  const parts: [string, () => void | Promise<void>][] = [
    ['pages', () => checkPages(db, problems)],
    ['references', () => checkReferences(db, problems)],
    ['sealed hours', () => checkHours(db, checked)],
    ['fresh readings', () => checkFresh(db, checked)],
    ['snapshots', () => checkStates(db, checked)],
    ['chunks and counts', () => checkRest(db, problems)],
  ];
  for (const [name, look] of parts)
    try {
      await look();
    } catch (error) {
      // What cannot be read is found; whatever else can be is still looked at.
      if (!(error instanceof StoreDamaged)) throw error;
      problems.push(`${name}: not all could be read: ${error.message}`);
    }
  return checked;
}

function checkPages(db: Database, problems: string[]): void {
  for (const row of db.all('PRAGMA integrity_check'))
    if (row.integrity_check !== 'ok') problems.push(`database: ${row.integrity_check}`);
}

function checkReferences(db: Database, problems: string[]): void {
  for (const row of db.all('PRAGMA foreign_key_check'))
    problems.push(`${row.table}: row ${row.rowid} belongs to nothing`);
}

function checkStates(db: Database, checked: Checked): void {
  const { sound, damaged } = checkSnapshots(db);
  checked.snapshots = sound;
  for (const { wellId, beforeS } of damaged)
    checked.problems.push(`well ${wellId}, snapshot of ${instant(beforeS)}: it is damaged`);
}

async function checkHours(db: Database, checked: Checked): Promise<void> {
  const sql = `SELECT summary.stream, hour, count, first_s AS firstS, last_s AS lastS, least,
      greatest, sum, well.raw_from_hour AS rawFrom
    FROM summary JOIN stream ON stream.id = summary.stream JOIN device ON device.id = device
    JOIN well ON well.id = well WHERE (summary.stream, hour) > (?, ?)
    ORDER BY summary.stream, hour LIMIT ${ROWS_A_TURN}`;
  let [stream, hour] = [-1, 0];
  for (;;) {
    const rows = db.all<SummaryRow>(sql, stream, hour);
    if (rows.length === 0) return;
    for (const row of rows) {
      const wrong = wrongOf(db, row, checked);
      if (wrong !== null) checked.problems.push(`stream ${row.stream}, hour ${row.hour}: ${wrong}`);
    }
    ({ stream, hour } = rows.at(-1)!);
    await turn();
  }
}

function wrongOf(db: Database, row: SummaryRow, checked: Checked): string | null {
  try {
    const chunk = sealedOf(db, row.stream, row.hour);
    if (chunk === null)
      return row.hour < (row.rawFrom ?? -Infinity) ? null : 'its chunk is missing';
    checked.chunks++;
    checked.readings += chunk.value.length;
    if (chunk.timeS.some((t) => hourOf(t) !== row.hour)) return 'a reading of another hour';
    if (chunk.timeS.some((t, i) => i > 0 && t < chunk.timeS[i - 1]!)) return 'out of order';
    const made = summaryOf(chunk);
    for (const key of ['count', 'firstS', 'lastS', 'least', 'greatest', 'sum'] as const) {
      const told = row[key] ?? Number.NaN;
      if (told !== made[key] && !Number.isNaN(made[key]))
        return `expected ${key} ${made[key]}, found ${told}`;
    }
    return null;
  } catch (error) {
    return (error as Error).message;
  }
}

async function checkFresh(db: Database, checked: Checked): Promise<void> {
  const sql = `SELECT id, hour, time_s AS timeS FROM fresh WHERE id > ? ORDER BY id LIMIT 5000`;
  type Row = { id: number; hour: number; timeS: number };
  for (let last = -1; ; ) {
    const rows = db.all<Row>(sql, last);
    if (rows.length === 0) return;
    for (const { id, hour, timeS } of rows)
      if (hourOf(timeS) !== hour)
        checked.problems.push(`fresh ${id}: of another hour than ${hour}`);
    checked.readings += rows.length;
    last = rows.at(-1)!.id;
    await turn();
  }
}

function checkRest(db: Database, problems: string[]): void {
  const lost = `SELECT id FROM chunk WHERE id NOT IN
    (SELECT hour * 1048576 + stream FROM summary)`;
  for (const { id } of db.all(lost)) problems.push(`chunk ${id}: its summary is missing`);
  const counted = `SELECT name, accepted, (SELECT coalesce(sum(count), 0) FROM (
      SELECT stream, count FROM summary UNION ALL SELECT stream, 1 FROM fresh)
      JOIN stream ON stream.id = stream JOIN device ON device.id = device
      WHERE device.well = well.id) AS found FROM well`;
  for (const { name, accepted, found } of db.all(counted))
    if (accepted !== found) problems.push(`well ${name}: accepted ${accepted}, found ${found}`);
  const overlapping = `SELECT a.device, a.boot, a.first FROM seen a JOIN seen b
    ON a.device = b.device AND a.boot = b.boot AND b.first > a.first AND b.first <= a.last`;
  for (const { device, boot, first } of db.all(overlapping))
    problems.push(`device ${device}, boot ${boot}: numbers from ${first} on stand twice`);
}
