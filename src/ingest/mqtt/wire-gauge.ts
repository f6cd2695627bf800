/** MQTT 3.1.1 section 2.2.3: seven bits a byte, four bytes at most. */
const LENGTH_BYTES = 4;

/** Sees the packets go by in a stream of MQTT, to hold their size and count them. */
export class WireGauge {
  /** Packets whose first byte was seen. */
  packets = 0;
  readonly #most: number;
  /** Bytes of the packet still to come. */
  #rest = 0;
  /** Bytes of the length field read so far, -1 between packets. */
  #lengthBytes = -1;
  #length = 0;

  constructor(mostBytes: number) {
    this.#most = mostBytes;
  }

  /** False where a packet is longer than may be, before its bytes have come. */
  see(chunk: Uint8Array): boolean {
    let at = 0;
    while (at < chunk.length) {
      if (this.#rest > 0) {
        const passed = Math.min(this.#rest, chunk.length - at);
        this.#rest -= passed;
        at += passed;
        continue;
      }
      const byte = chunk[at++]!;
      if (this.#lengthBytes < 0) {
        this.packets++;
        this.#lengthBytes = 0;
        this.#length = 0;
        continue;
      }
      this.#length += (byte & 0x7f) * 2 ** (7 * this.#lengthBytes++);
      if (byte > 0x7f && this.#lengthBytes < LENGTH_BYTES) continue;
      if (byte > 0x7f || this.#length > this.#most) return false;
      this.#rest = this.#length;
      this.#lengthBytes = -1;
    }
    return true;
  }
}
