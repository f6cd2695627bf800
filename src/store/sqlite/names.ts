import { CHANNELS, type Channel } from '../../model/reading.ts';
import type { Database } from './database.ts';

export interface Well {
  id: number;
  /** Raw readings of earlier hours have been dropped; null where none were. */
  rawFromHour: number | null;
}

export interface Device {
  id: number;
  /** Whether some of the numbers it has used are no longer known. */
  forgot: number;
}

export interface Stream {
  id: number;
  channel: number;
}

export function findWell(db: Database, name: string): Well | undefined {
  return db.get<Well>('SELECT id, raw_from_hour AS rawFromHour FROM well WHERE name = ?', name);
}

export function nameOfWell(db: Database, id: number): string {
  return db.get<{ name: string }>('SELECT name FROM well WHERE id = ?', id)?.name ?? '';
}

export function wellNamed(db: Database, name: string): Well {
  const known = findWell(db, name);
  if (known !== undefined) return known;
  return { id: db.run('INSERT INTO well (name) VALUES (?)', name).lastId, rawFromHour: null };
}

export function deviceNamed(db: Database, well: number, name: string): Device {
  const sql = 'SELECT id, forgot FROM device WHERE well = ? AND name = ?';
  const known = db.get<Device>(sql, well, name);
  if (known !== undefined) return known;
  const { lastId } = db.run('INSERT INTO device (well, name) VALUES (?, ?)', well, name);
  return { id: lastId, forgot: 0 };
}

export function streamOf(db: Database, device: number, channel: Channel): number {
  const sql = 'SELECT id FROM stream WHERE device = ? AND channel = ?';
  const known = db.get<{ id: number }>(sql, device, channel);
  if (known !== undefined) return known.id;
  return db.run('INSERT INTO stream (device, channel) VALUES (?, ?)', device, channel).lastId;
}

/** The streams of a well, in the order that they were first received. */
export function streamsOf(db: Database, well: number): Stream[] {
  const sql = `SELECT stream.id, channel FROM stream JOIN device ON device.id = stream.device
    WHERE device.well = ? ORDER BY stream.id`;
  return db
    .all<{ id: number; channel: Channel }>(sql, well)
    .map(({ id, channel }) => ({ id, channel: CHANNELS.indexOf(channel) }));
}
