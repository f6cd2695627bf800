import { constants, zstdCompressSync, zstdDecompressSync } from 'node:zlib';
import { type Grid, USUAL_GRIDS } from './grid.ts';
import type { VarintReader, VarintWriter } from './varint.ts';

/** Readings of one stream in one hour, by time and at one instant in the order received. */
export interface Chunk {
  timeS: Float64Array;
  value: Float64Array;
  /** Where each stands among all readings of the well in that hour; null where that is plain. */
  place: Float64Array | null;
}

/** An hour is short: a small window takes less memory and time, and no more bytes. */
const OPTIONS = {
  params: { [constants.ZSTD_c_compressionLevel]: 12, [constants.ZSTD_c_windowLog]: 17 },
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

/** How whole numbers are written, and read again: of each version its own. */
type WriteWhole = (out: VarintWriter, whole: Float64Array) => void;
type ReadWhole = (input: VarintReader, count: number) => Float64Array;

export const packed = (bytes: Uint8Array): Uint8Array => zstdCompressSync(bytes, OPTIONS);
export const unpacked = (frame: Uint8Array): Uint8Array =>
  zstdDecompressSync(frame, { maxOutputLength: MOST_BYTES });

export function readCount(input: VarintReader): number {
  const count = input.whole();
  if (count > MOST_BYTES) throw new Error(`chunk: ${count} readings are too many`);
  return count;
}

/** null: they are those of another chunk of the hour. */
export function writeTimes(out: VarintWriter, timeS: Float64Array | null, write: WriteWhole): void {
  if (timeS === null) {
    out.signed(TIMES_ELSEWHERE);
    return;
  }
  for (const perS of TICKS) {
    // Plus 0: a tick has no sign at zero, so a time of -0 stands on none.
    const ticks = timeS.map((t) => Math.round(t * perS) + 0);
    const fits = (tick: number, i: number) =>
      Object.is(tick / perS, timeS[i]) && Math.abs(tick - ticks[0]!) < MOST_SPAN;
    if (Math.abs(ticks[0]!) > MOST_TICK || !ticks.every(fits)) continue;
    out.signed(perS);
    write(out, ticks);
    return;
  }
  out.signed(0);
  writeDoubles(out, timeS);
}

export function readTimes(
  input: VarintReader,
  count: number,
  read: ReadWhole,
): Float64Array | null {
  const perS = input.signed();
  if (perS === TIMES_ELSEWHERE) return null;
  if (perS === 0) return readDoubles(input, count);
  return read(input, count).map((tick) => tick / perS);
}

/** The step that most whole numbers are from the one before them, and how each differs from it. */
export function stepsOf(whole: Float64Array): { usual: number; differences: Float64Array } {
  const steps = whole.subarray(1).map((n, i) => n - whole[i]!);
  const usual = steps.toSorted()[steps.length >> 1] ?? 0;
  return { usual, differences: steps.map((step) => step - usual) };
}

export function writePlaces(out: VarintWriter, place: Chunk['place'], write: WriteWhole): void {
  out.whole(place === null ? 0 : 1);
  if (place !== null) write(out, place);
}

export function readPlaces(input: VarintReader, count: number, read: ReadWhole): Chunk['place'] {
  return input.whole() === 0 ? null : read(input, count);
}

export function writeGrid(out: VarintWriter, grid: Grid | null): void {
  const usual = grid === null ? -1 : USUAL_GRIDS.indexOf(grid);
  if (grid === null) out.whole(NO_GRID);
  else out.whole(usual < 0 ? OWN_SCALE : FIRST_USUAL + usual);
  if (grid !== null && usual < 0) out.double(grid.scale);
}

export function readGrid(input: VarintReader): Grid | null {
  const which = input.whole();
  if (which === NO_GRID) return null;
  if (which === OWN_SCALE) return { divisor: 1, scale: input.double(), offset: 0 };
  const grid = USUAL_GRIDS[which - FIRST_USUAL];
  if (grid === undefined) throw new Error(`chunk: a grid of no meaning, ${which}`);
  return grid;
}

/** The values that stand off the grid, written out. */
export function writeOff(out: VarintWriter, off: number[], value: Float64Array): void {
  out.whole(off.length);
  for (const i of off) {
    out.whole(i);
    out.double(value[i]!);
  }
}

export function readOff(input: VarintReader, value: Float64Array): void {
  for (let left = input.whole(); left > 0; left--) {
    const i = input.whole();
    if (i >= value.length) throw new Error('chunk: a value of no reading');
    value[i] = input.double();
  }
}

/** Doubles with their like bytes side by side, which pack better. */
export function writeDoubles(out: VarintWriter, doubles: Float64Array): void {
  const view = new DataView(new ArrayBuffer(8 * doubles.length));
  for (const [i, one] of doubles.entries()) view.setFloat64(8 * i, one, true);
  const planes = new Uint8Array(8 * doubles.length);
  for (let plane = 0, at = 0; plane < 8; plane++)
    for (let i = 0; i < doubles.length; i++) planes[at++] = view.getUint8(8 * i + plane);
  out.raw(planes);
}

export function readDoubles(input: VarintReader, count: number): Float64Array {
  const planes = input.raw(8 * count);
  const view = new DataView(new ArrayBuffer(8 * count));
  for (let plane = 0, at = 0; plane < 8; plane++)
    for (let i = 0; i < count; i++) view.setUint8(8 * i + plane, planes[at++]!);
  return Float64Array.from({ length: count }, (_, i) => view.getFloat64(8 * i, true));
}
