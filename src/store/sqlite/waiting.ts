import { decodeState, encodeState } from '../../base/snapshot.ts';
import type { Kept, Pack } from '../../ports/reading-store.ts';
import type { BootTime, WaitingPack } from '../../ports/waiting-packs.ts';
import type { Database } from './database.ts';
import { wellNamed } from './names.ts';

interface Body {
  timeS: Float64Array;
  channel: number[];
  value: Float64Array;
  refused: Pack['refused'];
}

/** Writes a pack that waits for the beginning of its boot into the transaction under way. */
export function putWaiting(db: Database, pack: WaitingPack): Kept {
  const { device, boot, seq, arrivedS, uptimeS, readings, refused } = pack;
  const { count } = readings;
  const body: Body = {
    timeS: readings.timeS.slice(0, count),
    channel: [...readings.channel.subarray(0, count)],
    value: readings.value.slice(0, count),
    refused,
  };
  const { id } = wellNamed(db, pack.wellId);
  const { changes } = db.run(
    `INSERT OR IGNORE INTO waiting (well, device, boot, seq, arrived_s, uptime_s, body)
      VALUES (?, ?, ?, ?, ?, ?, ?)`,
    ...[id, device, boot, seq, arrivedS, uptimeS, encodeState(body)],
  );
  const [accepted, duplicate] = changes === 0 ? [0, count] : [count, 0];
  return { accepted, duplicate, earliestS: Number.NaN };
}

/** All that wait, in the order kept. */
export function readWaiting(db: Database): WaitingPack[] {
  const sql = `SELECT name AS wellId, device, boot, seq, arrived_s AS arrivedS,
      uptime_s AS uptimeS, body
    FROM waiting JOIN well ON well.id = waiting.well ORDER BY waiting.id`;
  type Row = Omit<WaitingPack, 'readings' | 'refused'> & { body: string };
  return db.all<Row>(sql).map(({ body, ...pack }) => {
    const { timeS, channel, value, refused } = decodeState<Body>(body);
    const readings = { count: value.length, timeS, channel: Uint8Array.from(channel), value };
    return { ...pack, readings, refused };
  });
}

/** Notes when a boot began, and lets its packs go. */
export function settleBoot(db: Database, boot: BootTime): void {
  const { id } = wellNamed(db, boot.wellId);
  const of = [id, boot.device, boot.boot];
  db.run('DELETE FROM waiting WHERE well = ? AND device = ? AND boot = ?', ...of);
  db.run(
    `INSERT INTO boot_time (well, device, boot, began_s, from_device) VALUES (?, ?, ?, ?, ?)
      ON CONFLICT DO UPDATE SET began_s = excluded.began_s, from_device = excluded.from_device`,
    ...[...of, boot.beganS, boot.fromDevice ? 1 : 0],
  );
}

/** All boots noted, in the order first noted. */
export function readBoots(db: Database): BootTime[] {
  const sql = `SELECT name AS wellId, device, boot, began_s AS beganS, from_device AS fromDevice
    FROM boot_time JOIN well ON well.id = boot_time.well ORDER BY boot_time.id`;
  return db
    .all<Omit<BootTime, 'fromDevice'> & { fromDevice: number }>(sql)
    .map(({ fromDevice, ...boot }) => ({ ...boot, fromDevice: fromDevice === 1 }));
}
