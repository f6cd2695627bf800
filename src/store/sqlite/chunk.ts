import { constants, zstdCompressSync, zstdDecompressSync } from 'node:zlib';
import { countOn, findGrid, type Grid, onGrid, USUAL_GRIDS } from './grid.ts';
import { VarintReader, VarintWriter } from './varint.ts';

/** Readings of one stream in one hour, by time and at one instant in the order received. */
export interface Chunk {
  timeS: Float64Array;
  value: Float64Array;
  /** Where each stands among all readings of the well in that hour; null where that is plain. */
  place: Float64Array | null;
}

const VERSION = 1;
const LEVEL = 12;
/** An hour is short: a small window takes less memory and time, and no more bytes. */
const WINDOW_LOG = 17;
const OPTIONS = {
  params: {
    [constants.ZSTD_c_compressionLevel]: LEVEL,
    [constants.ZSTD_c_windowLog]: WINDOW_LOG,
  },
};
/** Of a damaged blob that claims to be longer. */
const MOST_BYTES = 1 << 28;

/** Ticks in a second that times are tried on, coarsest first; 0 is times written out. */
const TICKS = [1, 10, 100, 1000, 1e6];
const TIMES_ELSEWHERE = -1;
/** Ticks, and steps between them, that stay whole numbers whatever is done to them. */
const MOST_TICK = 2 ** 51;
const MOST_SPAN = 2 ** 48;

/** What a chunk says of its values: no grid, a scale of its own, or a usual grid by number. */
const NO_GRID = 0;
const OWN_SCALE = 1;
const FIRST_USUAL = 2;

/**
 * One blob. Every double comes back bit for bit. The same times as another chunk of the hour need
 * not be written again: `timesElsewhere`.
 */
export function encodeChunk(chunk: Chunk, timesElsewhere: boolean): Uint8Array {
  const out = new VarintWriter();
  out.whole(VERSION);
  out.whole(chunk.value.length);
  if (timesElsewhere) out.signed(TIMES_ELSEWHERE);
  else writeTimes(out, chunk.timeS);
  writeValues(out, chunk.value);
  out.whole(chunk.place === null ? 0 : 1);
  if (chunk.place !== null) writeDeltas(out, chunk.place);
  return zstdCompressSync(out.bytes(), OPTIONS);
}

/** Throws on bytes that `encodeChunk` did not write. */
export function decodeChunk(blob: Uint8Array, times: Float64Array | null): Chunk {
  const input = new VarintReader(zstdDecompressSync(blob, { maxOutputLength: MOST_BYTES }));
  const version = input.whole();
  if (version !== VERSION) throw new Error(`chunk: expected version ${VERSION}, found ${version}`);
  const count = input.whole();
  if (count > MOST_BYTES) throw new Error(`chunk: ${count} readings are too many`);
  const timeS = readTimes(input, count) ?? times;
  if (timeS?.length !== count) throw new Error('chunk: the times that it shares are not there');
  const value = readValues(input, count);
  const place = input.whole() === 0 ? null : readDeltas(input, count);
  if (!input.ended) throw new Error('chunk: more bytes than readings');
  return { timeS, value, place };
}

function writeTimes(out: VarintWriter, timeS: Float64Array): void {
  for (const perS of TICKS) {
    // Plus 0: a tick has no sign at zero, so a time of -0 stands on none.
    const ticks = timeS.map((t) => Math.round(t * perS) + 0);
    const fits = (tick: number, i: number) =>
      Object.is(tick / perS, timeS[i]) && Math.abs(tick - ticks[0]!) < MOST_SPAN;
    if (Math.abs(ticks[0]!) > MOST_TICK || !ticks.every(fits)) continue;
    out.signed(perS);
    writeDeltas(out, ticks);
    return;
  }
  out.signed(0);
  writeDoubles(out, timeS);
}

function readTimes(input: VarintReader, count: number): Float64Array | null {
  const perS = input.signed();
  if (perS === TIMES_ELSEWHERE) return null;
  if (perS === 0) return readDoubles(input, count);
  return readDeltas(input, count).map((tick) => tick / perS);
}

/** Whole numbers as their first and what each step differs from the usual step. */
function writeDeltas(out: VarintWriter, whole: Float64Array): void {
  const steps = whole.subarray(1).map((n, i) => n - whole[i]!);
  const usual = steps.toSorted()[steps.length >> 1] ?? 0;
  out.signed(whole[0]!);
  out.signed(usual);
  for (const step of steps) out.signed(step - usual);
}

function readDeltas(input: VarintReader, count: number): Float64Array {
  const whole = new Float64Array(count);
  let last = input.signed();
  const usual = input.signed();
  whole[0] = last;
  for (let i = 1; i < count; i++) {
    last += usual + input.signed();
    whole[i] = last;
  }
  return whole;
}

function writeValues(out: VarintWriter, value: Float64Array): void {
  const grid = findGrid(value);
  if (grid === null) {
    out.whole(NO_GRID);
    writeDoubles(out, value);
    return;
  }
  const usual = USUAL_GRIDS.indexOf(grid);
  out.whole(usual < 0 ? OWN_SCALE : FIRST_USUAL + usual);
  if (usual < 0) out.double(grid.scale);
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

function readValues(input: VarintReader, count: number): Float64Array {
  const grid = readGrid(input);
  if (grid === null) return readDoubles(input, count);
  const value = new Float64Array(count);
  let last = 0;
  for (let i = 0; i < count; i++) {
    last += input.signed();
    value[i] = onGrid(grid, last);
  }
  readOff(input, value);
  return value;
}

function readGrid(input: VarintReader): Grid | null {
  const which = input.whole();
  if (which === NO_GRID) return null;
  if (which === OWN_SCALE) return { divisor: 1, scale: input.double(), offset: 0 };
  const grid = USUAL_GRIDS[which - FIRST_USUAL];
  if (grid === undefined) throw new Error(`chunk: a grid of no meaning, ${which}`);
  return grid;
}

/** The values that stand off the grid, written out. */
function writeOff(out: VarintWriter, off: number[], value: Float64Array): void {
  out.whole(off.length);
  for (const i of off) {
    out.whole(i);
    out.double(value[i]!);
  }
}

function readOff(input: VarintReader, value: Float64Array): void {
  for (let left = input.whole(); left > 0; left--) {
    const i = input.whole();
    if (i >= value.length) throw new Error('chunk: a value of no reading');
    value[i] = input.double();
  }
}

/** Doubles with their like bytes side by side, which pack better. */
function writeDoubles(out: VarintWriter, doubles: Float64Array): void {
  const view = new DataView(new ArrayBuffer(8 * doubles.length));
  for (const [i, one] of doubles.entries()) view.setFloat64(8 * i, one, true);
  const planes = new Uint8Array(8 * doubles.length);
  for (let plane = 0, at = 0; plane < 8; plane++)
    for (let i = 0; i < doubles.length; i++) planes[at++] = view.getUint8(8 * i + plane);
  out.raw(planes);
}

function readDoubles(input: VarintReader, count: number): Float64Array {
  const planes = input.raw(8 * count);
  const view = new DataView(new ArrayBuffer(8 * count));
  for (let plane = 0, at = 0; plane < 8; plane++)
    for (let i = 0; i < count; i++) view.setUint8(8 * i + plane, planes[at++]!);
  return Float64Array.from({ length: count }, (_, i) => view.getFloat64(8 * i, true));
}
