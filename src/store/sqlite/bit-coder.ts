/**
 * Arithmetic coding of bits by a model that learns as it goes: a range coder with carry (range
 * encoding after Martin, 1979, from memory), chances in 1/65536. What is coded takes little more
 * than its entropy and needs no table beside it, which short pieces could not afford.
 */
const ONE = 65_536;
const HALF = ONE / 2;
const TOP = 2 ** 32;
const RENEW = 2 ** 24;
/** No chance is believed to be less. */
const LEAST = 32;
/** How far a chance goes towards what was seen, by how often it was seen before. */
const SEEN_MOST = 255;
const towards = (least: number) =>
  Float64Array.from({ length: SEEN_MOST + 1 }, (_, seen) => Math.max(1 / (seen + 1.5), least));
/** Two estimates, one that learns quickly and one that is steady in the long run. */
const FAST = towards(1 / 32);
const STEADY = towards(1 / 256);

/** What is known of each kind of bit: how likely it is 0. */
export class BitModel {
  readonly #fast: Float64Array;
  readonly #steady: Float64Array;
  readonly #seen: Uint8Array;

  constructor(kinds: number) {
    this.#fast = new Float64Array(kinds).fill(HALF);
    this.#steady = new Float64Array(kinds).fill(HALF);
    this.#seen = new Uint8Array(kinds);
  }

  chanceOfZero(kind: number): number {
    const mean = (this.#fast[kind]! + this.#steady[kind]!) >> 1;
    return Math.max(LEAST, Math.min(mean, ONE - LEAST));
  }

  learn(kind: number, bit: number): void {
    const seen = this.#seen[kind]!;
    const aim = bit === 0 ? ONE : 0;
    this.#fast[kind]! += (aim - this.#fast[kind]!) * FAST[seen]!;
    this.#steady[kind]! += (aim - this.#steady[kind]!) * STEADY[seen]!;
    if (seen < SEEN_MOST) this.#seen[kind] = seen + 1;
  }
}

export class BitEncoder {
  #bytes = new Uint8Array(1024);
  #at = 0;
  #low = 0;
  #range = TOP - 1;
  /** The byte before `#low`, and how many of 255 follow it, that a carry may still change. */
  #held = -1;
  #after = 0;

  /** A bit that is 0 by `chance` of 65536. */
  bit(bit: number, chance: number = HALF): void {
    const zero = Math.imul(this.#range >>> 16, chance) >>> 0;
    if (bit === 0) this.#range = zero;
    else {
      this.#low += zero;
      this.#range = (this.#range - zero) >>> 0;
    }
    while (this.#range < RENEW) {
      this.#range = (this.#range << 8) >>> 0;
      this.#shift();
    }
  }

  /** All that was coded; zeros at its end are left out. */
  end(): Uint8Array {
    for (let i = 0; i < 5; i++) this.#shift();
    let length = this.#at;
    while (length > 0 && this.#bytes[length - 1] === 0) length--;
    return this.#bytes.subarray(0, length);
  }

  #shift(): void {
    if (this.#low < TOP - RENEW || this.#low >= TOP) {
      const carry = this.#low >= TOP ? 1 : 0;
      if (this.#held >= 0) this.#put(this.#held + carry);
      for (; this.#after > 0; this.#after--) this.#put(255 + carry);
      this.#held = Math.floor(this.#low / RENEW) % 256;
    } else this.#after++;
    this.#low = (this.#low % RENEW) * 256;
  }

  #put(byte: number): void {
    if (this.#at === this.#bytes.length) {
      const wider = new Uint8Array(2 * this.#bytes.length);
      wider.set(this.#bytes);
      this.#bytes = wider;
    }
    this.#bytes[this.#at++] = byte;
  }
}

/** Reads what a `BitEncoder` wrote, asked for the same chances in the same order. */
export class BitDecoder {
  readonly #bytes: Uint8Array;
  #at = 0;
  #ahead = 0;
  #range = TOP - 1;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
    for (let i = 0; i < 4; i++) this.#ahead = ((this.#ahead << 8) | this.#next()) >>> 0;
  }

  bit(chance: number = HALF): number {
    const zero = Math.imul(this.#range >>> 16, chance) >>> 0;
    const bit = this.#ahead < zero ? 0 : 1;
    if (bit === 0) this.#range = zero;
    else {
      this.#ahead = (this.#ahead - zero) >>> 0;
      this.#range = (this.#range - zero) >>> 0;
    }
    while (this.#range < RENEW) {
      this.#range = (this.#range << 8) >>> 0;
      this.#ahead = ((this.#ahead << 8) | this.#next()) >>> 0;
    }
    return bit;
  }

  #next(): number {
    return this.#bytes[this.#at++] ?? 0;
  }
}
