import { assert } from '../../base/assert.ts';

/** Bytes of a safe integer at most. */
const MOST_BYTES = 8;

/** Writes whole numbers, small ones in few bytes: seven bits a byte, the lowest first. */
export class VarintWriter {
  #bytes = new Uint8Array(4096);
  #at = 0;

  /** A safe integer of 0 or more. */
  whole(value: number): void {
    assert(Number.isSafeInteger(value) && value >= 0, `a whole number, found ${value}`);
    if (this.#at + MOST_BYTES > this.#bytes.length) this.#grow(MOST_BYTES);
    let left = value;
    while (left > 127) {
      this.#bytes[this.#at++] = (left % 128) | 128;
      left = Math.floor(left / 128);
    }
    this.#bytes[this.#at++] = left;
  }

  /** An integer of either sign, below 2^52 in size. */
  signed(value: number): void {
    this.whole(value < 0 ? -2 * value - 1 : 2 * value);
  }

  double(value: number): void {
    const eight = new Uint8Array(8);
    new DataView(eight.buffer).setFloat64(0, value, true);
    this.raw(eight);
  }

  raw(bytes: Uint8Array): void {
    if (this.#at + bytes.length > this.#bytes.length) this.#grow(bytes.length);
    this.#bytes.set(bytes, this.#at);
    this.#at += bytes.length;
  }

  bytes(): Uint8Array {
    return this.#bytes.subarray(0, this.#at);
  }

  #grow(by: number): void {
    const wider = new Uint8Array(2 * this.#bytes.length + by);
    wider.set(this.#bytes);
    this.#bytes = wider;
  }
}

/** Reads what a `VarintWriter` wrote. Throws where the bytes end too soon. */
export class VarintReader {
  readonly #bytes: Uint8Array;
  #at = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  whole(): number {
    let byte = this.#next();
    if (byte < 128) return byte;
    let value = byte & 127;
    let weight = 128;
    do {
      byte = this.#next();
      value += (byte & 127) * weight;
      weight *= 128;
    } while (byte > 127);
    return value;
  }

  signed(): number {
    const value = this.whole();
    return value % 2 === 1 ? -(value + 1) / 2 : value / 2;
  }

  double(): number {
    const eight = this.raw(8);
    return new DataView(eight.buffer, eight.byteOffset, 8).getFloat64(0, true);
  }

  raw(length: number): Uint8Array {
    if (this.#at + length > this.#bytes.length) throw new Error('the bytes end too soon');
    this.#at += length;
    return this.#bytes.subarray(this.#at - length, this.#at);
  }

  /** Bytes that were not read yet. */
  get left(): number {
    return this.#bytes.length - this.#at;
  }

  get ended(): boolean {
    return this.#at === this.#bytes.length;
  }

  #next(): number {
    const byte = this.#bytes[this.#at++];
    if (byte === undefined) throw new Error('the bytes end too soon');
    return byte;
  }
}
