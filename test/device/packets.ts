type Hear = (type: number, flags: number, bytes: Buffer) => void;

/** Finds where packets end in a stream of MQTT (3.1.1 section 2.2.3). */
export class Packets {
  readonly #hear: Hear;
  #bytes = Buffer.alloc(0);

  constructor(hear: Hear) {
    this.#hear = hear;
  }

  add(bytes: Buffer): void {
    this.#bytes = Buffer.concat([this.#bytes, bytes]);
    for (let end = this.#end(); end <= this.#bytes.length; end = this.#end()) {
      const packet = this.#bytes.subarray(0, end);
      this.#bytes = this.#bytes.subarray(end);
      this.#hear(packet[0]! >> 4, packet[0]! & 15, packet);
    }
  }

  /** Infinite where not even the length has come. */
  #end(): number {
    let length = 0;
    for (let at = 1; at < this.#bytes.length; at++) {
      length += (this.#bytes[at]! & 127) * 2 ** (7 * (at - 1));
      if (this.#bytes[at]! < 128) return at + 1 + length;
    }
    return Number.POSITIVE_INFINITY;
  }
}
