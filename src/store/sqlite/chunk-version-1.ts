import { encodeChunk } from './chunk.ts';
import {
  readCount,
  readDoubles,
  readGrid,
  readOff,
  readPlaces,
  readTimes,
  unpacked,
} from './chunk-parts.ts';
import { onGrid } from './grid.ts';
import { VarintReader } from './varint.ts';

const VERSION = 1;

/**
 * A chunk of version 1, one zstd frame, as it is written now. Damaged bytes stay as they are, for
 * the check to find: one of them must not bar the way of all others.
 */
export function fromVersion1(blob: Uint8Array): Uint8Array {
  try {
    return written(blob);
  } catch {
    return blob;
  }
}

function written(blob: Uint8Array): Uint8Array {
  const input = new VarintReader(unpacked(blob));
  const version = input.whole();
  if (version !== VERSION) throw new Error(`chunk: expected version ${VERSION}, found ${version}`);
  const count = readCount(input);
  const own = readTimes(input, count, readSteps);
  const value = readValues(input, count);
  const place = readPlaces(input, count, readSteps);
  if (!input.ended) throw new Error('chunk: more bytes than readings');
  return encodeChunk({ timeS: own ?? new Float64Array(count), value, place }, own === null);
}

function readSteps(input: VarintReader, count: number): Float64Array {
  const whole = new Float64Array(count);
  whole[0] = input.signed();
  const usual = input.signed();
  for (let i = 1; i < count; i++) whole[i] = whole[i - 1]! + usual + input.signed();
  return whole;
}

/** Each count less the one before. */
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
