import { constants, crc32, zstdCompressSync, zstdDecompressSync } from 'node:zlib';
import type { Snapshot } from '../../ports/reading-store.ts';
import type { Database } from './database.ts';
import { findWell } from './names.ts';

/** The first byte of a packed state that has its sum; older ones begin as zstd does. */
const WITH_SUM = 2;
const ZSTD_BEGINS = 0x28;
const HEAD_BYTES = 5;
const PACKING = { params: { [constants.ZSTD_c_compressionLevel]: 6 } };

/** A state as it is kept: a kind, the CRC-32 of what follows, and one zstd frame. */
export function packState(state: string): Uint8Array {
  const frame = zstdCompressSync(Buffer.from(state), PACKING);
  const head = Buffer.alloc(HEAD_BYTES);
  head.writeUInt8(WITH_SUM);
  head.writeUInt32LE(crc32(frame), 1);
  return Buffer.concat([head, frame]);
}

/** `without-sum`: kept before there were sums, so that nothing tells whether it is sound. */
function unpackState(packed: Uint8Array): { state: string } | 'without-sum' | 'damaged' {
  if (packed[0] === ZSTD_BEGINS) return 'without-sum';
  if (packed[0] !== WITH_SUM || packed.length < HEAD_BYTES) return 'damaged';
  const frame = packed.subarray(HEAD_BYTES);
  const sum = new DataView(packed.buffer, packed.byteOffset).getUint32(1, true);
  return sum === crc32(frame) ? { state: zstdDecompressSync(frame).toString() } : 'damaged';
}

/**
 * The latest snapshot made by `madeBy` at `beforeS` or earlier that is as it was written; one that
 * is not is told. What a state would be worth is only time: readings are taken again without it.
 */
export function readSnapshot(
  db: Database,
  { wellId, beforeS, madeBy }: Omit<Snapshot, 'state'>,
  damaged: (atS: number) => void,
): Snapshot | null {
  const sql = `SELECT rowid AS id, before_s AS beforeS FROM snapshot
    WHERE well = ? AND made_by = ? AND before_s <= ? ORDER BY before_s DESC`;
  const well = findWell(db, wellId)?.id ?? -1;
  for (const row of db.all<{ id: number; beforeS: number }>(sql, well, madeBy, beforeS)) {
    const found = stateOf(db, row.id);
    if (typeof found === 'object')
      return { wellId, beforeS: row.beforeS, madeBy, state: found.state };
    if (found === 'damaged') damaged(row.beforeS);
  }
  return null;
}

/** A page of it that cannot be read is damage as well. */
function stateOf(db: Database, id: number): ReturnType<typeof unpackState> {
  try {
    const row = db.get<{ state: Uint8Array }>('SELECT state FROM snapshot WHERE rowid = ?', id);
    return row === undefined ? 'damaged' : unpackState(row.state);
  } catch {
    return 'damaged';
  }
}

/** Every snapshot that is not as it was written, by its row, and how many are. */
export function checkSnapshots(db: Database): { sound: number; damaged: DamagedSnapshot[] } {
  const sql = `SELECT snapshot.rowid AS id, name AS wellId, before_s AS beforeS
    FROM snapshot JOIN well ON well.id = well ORDER BY snapshot.rowid`;
  const damaged: DamagedSnapshot[] = [];
  let sound = 0;
  for (const row of db.all<DamagedSnapshot>(sql)) {
    const found = stateOf(db, row.id);
    if (found === 'damaged') damaged.push(row);
    else if (typeof found === 'object') sound += 1;
  }
  return { sound, damaged };
}

interface DamagedSnapshot {
  id: number;
  wellId: string;
  beforeS: number;
}

/** A copy need not carry them: nothing is lost with them. */
export function dropDamagedSnapshots(db: Database): void {
  for (const { id } of checkSnapshots(db).damaged)
    db.run('DELETE FROM snapshot WHERE rowid = ?', id);
}
