import { DatabaseSync } from 'node:sqlite';
import { decodeChunk } from '../../src/store/sqlite/chunk.ts';
import {
  type Chunk,
  packed,
  stepsOf,
  writeDoubles,
  writeGrid,
  writeOff,
  writePlaces,
  writeTimes,
} from '../../src/store/sqlite/chunk-parts.ts';
import { countOn, findGrid } from '../../src/store/sqlite/grid.ts';
import { STREAMS } from '../../src/store/sqlite/hour.ts';
import { VarintWriter } from '../../src/store/sqlite/varint.ts';

/** Makes a store, which nobody has open, what version 1 would have left. */
export function backToVersion1(path: string): void {
  const db = new DatabaseSync(path);
  const one = db.prepare('SELECT readings FROM chunk WHERE id = ?');
  const rows = db
    .prepare('SELECT id, times_of AS timesOf, readings FROM chunk')
    .all() as unknown as {
    id: number;
    timesOf: number | null;
    readings: Uint8Array;
  }[];
  db.exec('BEGIN');
  const put = db.prepare('UPDATE chunk SET readings = ? WHERE id = ?');
  const old = rows.map(({ id, timesOf, readings }) => {
    const other = timesOf === null ? undefined : one.get(id - (id % STREAMS) + timesOf);
    const times =
      other === undefined ? null : decodeChunk(other.readings as Uint8Array, null).timeS;
    return { id, blob: encodeVersion1(decodeChunk(readings, times), timesOf !== null) };
  });
  for (const { id, blob } of old) put.run(blob, id);
  db.exec('PRAGMA user_version = 1; COMMIT');
  db.close();
}

/** As version 1 wrote a chunk. */
export function encodeVersion1(chunk: Chunk, timesElsewhere: boolean): Uint8Array {
  const out = new VarintWriter();
  out.whole(1);
  out.whole(chunk.value.length);
  writeTimes(out, timesElsewhere ? null : chunk.timeS, writeSteps);
  writeValues(out, chunk.value);
  writePlaces(out, chunk.place, writeSteps);
  return packed(out.bytes());
}

function writeSteps(out: VarintWriter, whole: Float64Array): void {
  const { usual, differences } = stepsOf(whole);
  out.signed(whole[0]!);
  out.signed(usual);
  for (const one of differences) out.signed(one);
}

function writeValues(out: VarintWriter, value: Float64Array): void {
  const grid = findGrid(value);
  writeGrid(out, grid);
  if (grid === null) {
    writeDoubles(out, value);
    return;
  }
  const off: number[] = [];
  let last = 0;
  for (const [i, one] of value.entries()) {
    const count = countOn(grid, one);
    if (Number.isNaN(count)) off.push(i);
    out.signed(Number.isNaN(count) ? 0 : count - last);
    if (!Number.isNaN(count)) last = count;
  }
  writeOff(out, off, value);
}
