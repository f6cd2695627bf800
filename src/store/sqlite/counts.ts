import { BitDecoder, BitEncoder, BitModel } from './bit-coder.ts';

/**
 * Counts of a channel one after the other, each as what it differs from what was expected: the one
 * before it, or a mean of the latest, whichever serves the whole better. A difference is a number
 * of doublings, each of which is a bit that is learnt, then its digits, the first four learnt.
 */
const DIGITS_LEARNT = 4;
const MOST_DOUBLINGS = 53;
const DIGIT_KINDS = 1 << DIGITS_LEARNT;
const KINDS = MOST_DOUBLINGS * (1 + DIGIT_KINDS);

/** The mean follows by a quarter, and a jump at once. */
const FOLLOWS = 4;
const JUMP = 32;

class Expected {
  readonly #byMean: boolean;
  #mean: number;
  #last: number;

  constructor(byMean: boolean) {
    this.#byMean = byMean;
    this.#mean = 0;
    this.#last = 0;
  }

  next(): number {
    return this.#byMean ? Math.round(this.#mean) : this.#last;
  }

  see(count: number): void {
    this.#last = count;
    const off = count - this.#mean;
    this.#mean = Math.abs(off) > JUMP ? count : this.#mean + off / FOLLOWS;
  }
}

/** Whole numbers below 2^50 in size. A first one far from 0 costs much: better told apart. */
export function encodeCounts(counts: Float64Array): Uint8Array {
  const byMean = sizeOf(counts, true) < sizeOf(counts, false);
  const out = new BitEncoder();
  out.bit(byMean ? 1 : 0);
  const model = new BitModel(KINDS);
  const expected = new Expected(byMean);
  for (const count of counts) {
    const difference = count - expected.next();
    writeNumber(out, model, difference < 0 ? -2 * difference - 1 : 2 * difference);
    expected.see(count);
  }
  return out.end();
}

export function decodeCounts(bytes: Uint8Array, length: number): Float64Array {
  const input = new BitDecoder(bytes);
  const expected = new Expected(input.bit() === 1);
  const model = new BitModel(KINDS);
  const counts = new Float64Array(length);
  for (let i = 0; i < length; i++) {
    const number = readNumber(input, model);
    const difference = number % 2 === 1 ? -(number + 1) / 2 : number / 2;
    counts[i] = expected.next() + difference;
    expected.see(counts[i]!);
  }
  return counts;
}

/** About how much the differences take, in bits. */
function sizeOf(counts: Float64Array, byMean: boolean): number {
  const expected = new Expected(byMean);
  let bits = 0;
  for (const count of counts) {
    bits += Math.log2(1 + Math.abs(count - expected.next()));
    expected.see(count);
  }
  return bits;
}

function writeNumber(out: BitEncoder, model: BitModel, number: number): void {
  let doublings = 0;
  for (let left = number + 1; left >= 2; left = Math.floor(left / 2)) {
    writeBit(out, model, doublings, 1);
    doublings++;
  }
  writeBit(out, model, doublings, 0);
  let node = 1;
  for (let digit = doublings - 1; digit >= 0; digit--) {
    const bit = Math.floor((number + 1) / 2 ** digit) % 2;
    if (node < DIGIT_KINDS) {
      writeBit(out, model, digitKind(doublings, node), bit);
      node = 2 * node + bit;
    } else out.bit(bit);
  }
}

function readNumber(input: BitDecoder, model: BitModel): number {
  let doublings = 0;
  while (readBit(input, model, doublings) === 1)
    if (++doublings === MOST_DOUBLINGS) throw new Error('chunk: a count of no meaning');
  let number = 1;
  let node = 1;
  for (let digit = doublings - 1; digit >= 0; digit--) {
    let bit: number;
    if (node < DIGIT_KINDS) {
      bit = readBit(input, model, digitKind(doublings, node));
      node = 2 * node + bit;
    } else bit = input.bit();
    number = 2 * number + bit;
  }
  return number - 1;
}

const digitKind = (doublings: number, node: number): number =>
  MOST_DOUBLINGS + doublings * DIGIT_KINDS + node;

function writeBit(out: BitEncoder, model: BitModel, kind: number, bit: number): void {
  out.bit(bit, model.chanceOfZero(kind));
  model.learn(kind, bit);
}

function readBit(input: BitDecoder, model: BitModel, kind: number): number {
  const bit = input.bit(model.chanceOfZero(kind));
  model.learn(kind, bit);
  return bit;
}
