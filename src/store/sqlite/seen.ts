import type { Database } from './database.ts';
import type { Device } from './names.ts';

/**
 * Of one device so many stretches of numbers without a gap are known; then the ones that were not
 * added to for longest are forgotten, a quarter of all, and its packs are told apart by channel and
 * time as well.
 */
const MOST_STRETCHES = 4096;

interface Stretch {
  first: number;
  last: number;
}

export interface PackNumber {
  boot: number;
  seq: number;
  arrivedS: number;
}

/** Marks a pack as seen; false where it was seen before. */
export function isNewPack(db: Database, device: Device, { boot, seq, arrivedS }: PackNumber) {
  const of = 'FROM seen WHERE device = ? AND boot = ?';
  const below = db.get<Stretch>(
    `SELECT first, last ${of} AND first <= ? ORDER BY first DESC LIMIT 1`,
    ...[device.id, boot, seq],
  );
  if (below !== undefined && below.last >= seq) return false;
  const next = `SELECT first, last ${of} AND first = ?`;
  const above = db.get<Stretch>(next, device.id, boot, seq + 1);
  if (above !== undefined) db.run(`DELETE ${of} AND first = ?`, device.id, boot, above.first);
  const last = above?.last ?? seq;
  if (below?.last === seq - 1) {
    const set = 'UPDATE seen SET last = ?, arrived_s = ?';
    const where = 'WHERE device = ? AND boot = ? AND first = ?';
    db.run(`${set} ${where}`, last, arrivedS, device.id, boot, below.first);
    return true;
  }
  const into = 'INSERT INTO seen (device, boot, first, last, arrived_s)';
  db.run(`${into} VALUES (?, ?, ?, ?, ?)`, device.id, boot, seq, last, arrivedS);
  if (above === undefined) forgetSome(db, device);
  return true;
}

function forgetSome(db: Database, device: Device): void {
  const sql = 'SELECT count(*) AS count FROM seen WHERE device = ?';
  if (db.get<{ count: number }>(sql, device.id)!.count <= MOST_STRETCHES) return;
  const oldest = 'SELECT boot, first FROM seen WHERE device = ? ORDER BY arrived_s LIMIT ?';
  db.run(
    `DELETE FROM seen WHERE device = ? AND (boot, first) IN (${oldest})`,
    ...[device.id, device.id, MOST_STRETCHES / 4],
  );
  db.run('UPDATE device SET forgot = 1 WHERE id = ?', device.id);
}
