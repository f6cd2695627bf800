import { crc32 } from 'node:zlib';
import {
  type Chunk,
  packed,
  readCount,
  readDoubles,
  readGrid,
  readOff,
  readPlaces,
  readTimes,
  stepsOf,
  unpacked,
  writeDoubles,
  writeGrid,
  writeOff,
  writePlaces,
  writeTimes,
} from './chunk-parts.ts';
import { decodeCounts, encodeCounts } from './counts.ts';
import { countOn, findGrid, type Grid, onGrid } from './grid.ts';
import { VarintReader, VarintWriter } from './varint.ts';

/** The first byte of a chunk: its head as it is, or packed by zstd. */
const PLAIN_HEAD = 2;
const PACKED_HEAD = 3;
const CHECK_BYTES = 4;

/**
 * One blob. Every double comes back bit for bit. The same times as another chunk of the hour need
 * not be written again: `timesElsewhere`.
 */
export function encodeChunk(chunk: Chunk, timesElsewhere: boolean): Uint8Array {
  const head = new VarintWriter();
  head.whole(chunk.value.length);
  writeTimes(head, timesElsewhere ? null : chunk.timeS, writeSteps);
  writePlaces(head, chunk.place, writeSteps);
  const counts = writeValues(head, chunk.value);
  const short = packed(head.bytes());
  const isPlain = head.bytes().length <= short.length;
  const out = new VarintWriter();
  out.whole(isPlain ? PLAIN_HEAD : PACKED_HEAD);
  writeBytes(out, isPlain ? head.bytes() : short);
  if (counts !== null) out.raw(encodeCounts(counts));
  const check = new Uint8Array(CHECK_BYTES);
  new DataView(check.buffer).setUint32(0, crc32(out.bytes()), true);
  out.raw(check);
  return out.bytes().slice();
}

/** Throws on bytes that `encodeChunk` did not write. */
export function decodeChunk(blob: Uint8Array, times: Float64Array | null): Chunk {
  const input = new VarintReader(checked(blob));
  const kind = input.whole();
  if (kind !== PLAIN_HEAD && kind !== PACKED_HEAD)
    throw new Error(`chunk: expected kind ${PLAIN_HEAD} or ${PACKED_HEAD}, found ${kind}`);
  const first = input.raw(input.whole());
  const head = new VarintReader(kind === PLAIN_HEAD ? first : unpacked(first));
  const count = readCount(head);
  const timeS = readTimes(head, count, readSteps) ?? times;
  if (timeS?.length !== count) throw new Error('chunk: the times that it shares are not there');
  const place = readPlaces(head, count, readSteps);
  const grid = readGrid(head);
  const rest = input.raw(input.left);
  const value = grid === null ? readDoubles(head, count) : readCounts(head, grid, rest, count);
  if (!head.ended) throw new Error('chunk: more bytes than readings');
  return { timeS, value, place };
}

/** Without the sum at its end, which must be right. */
function checked(blob: Uint8Array): Uint8Array {
  const body = blob.subarray(0, Math.max(0, blob.length - CHECK_BYTES));
  const sum = new DataView(blob.buffer, blob.byteOffset + body.length, blob.length - body.length);
  if (sum.byteLength === CHECK_BYTES && sum.getUint32(0, true) === crc32(body)) return body;
  throw new Error('chunk: its bytes are not those that were written');
}

function writeBytes(out: VarintWriter, bytes: Uint8Array): void {
  out.whole(bytes.length);
  out.raw(bytes);
}

/** Whole numbers as their first, the usual step, and what each step differs from it. */
function writeSteps(out: VarintWriter, whole: Float64Array): void {
  const { usual, differences } = stepsOf(whole);
  out.signed(whole[0]!);
  out.signed(usual);
  writeBytes(out, encodeCounts(differences));
}

function readSteps(input: VarintReader, count: number): Float64Array {
  const whole = new Float64Array(count);
  whole[0] = input.signed();
  const usual = input.signed();
  const differences = decodeCounts(input.raw(input.whole()), count - 1);
  for (let i = 1; i < count; i++) whole[i] = whole[i - 1]! + usual + differences[i - 1]!;
  return whole;
}

/** The grid and what stands off it; returns counts from the first on, null without a grid. */
function writeValues(out: VarintWriter, value: Float64Array): Float64Array | null {
  const grid = findGrid(value);
  writeGrid(out, grid);
  if (grid === null) {
    writeDoubles(out, value);
    return null;
  }
  const off: number[] = [];
  const counts = new Float64Array(value.length);
  let last = 0;
  for (const [i, one] of value.entries()) {
    const count = countOn(grid, one);
    if (Number.isNaN(count)) off.push(i);
    else last = count;
    counts[i] = last;
  }
  const first = counts[0]!;
  out.signed(first);
  writeOff(out, off, value);
  return counts.map((count) => count - first);
}

function readCounts(head: VarintReader, grid: Grid, rest: Uint8Array, count: number): Float64Array {
  const first = head.signed();
  const value = decodeCounts(rest, count).map((one) => onGrid(grid, first + one));
  readOff(head, value);
  return value;
}
