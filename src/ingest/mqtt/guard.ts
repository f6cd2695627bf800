import type { Socket } from 'node:net';
import { Paces } from '../../base/paces.ts';
import type { Counters } from '../counters.ts';
import type { Limits } from '../limits.ts';
import { WireGauge } from './wire-gauge.ts';

/** Room for topic and header beside the pack. */
const HEADER_BYTES = 1024;
/** What is taken of a connection at once. */
const READ_BYTES = 4096;

interface GuardOptions {
  from: string;
  limits: Limits;
  counters: Counters;
  together: Paces;
}

/**
 * Stands between a socket and the broker, which reads it by `read`. It ends a connection that
 * announces too large a packet before it is gathered, lets one that sends too many wait, and reads
 * nothing more of one while a message of it is under way: so nobody fills the inbox or the memory
 * alone.
 */
export class Guard {
  /** Whom it comes from. */
  readonly from: string;
  readonly #socket: Socket;
  readonly #together: Paces;
  readonly #counters: Counters;
  readonly #gauge: WireGauge;
  readonly #read: Socket['read'];
  readonly #own: Paces;
  #underWay = 0;
  #again = false;

  /** `together` counts the packets of all connections of one address. */
  constructor(socket: Socket, { from, limits, counters, together }: GuardOptions) {
    this.from = from;
    this.#socket = socket;
    this.#together = together;
    this.#counters = counters;
    this.#gauge = new WireGauge(limits.packBytes + HEADER_BYTES);
    const perS = limits.packetsPerS;
    this.#own = new Paces({ perS, burst: perS });
    this.#read = socket.read.bind(socket);
    // The stream itself calls read(0), to have more gathered.
    socket.read = (size) => (size === 0 ? this.#read(0) : this.#next());
  }

  /** A message of this connection is under way until `settled`. */
  began(): void {
    this.#underWay++;
  }

  settled(): void {
    this.#underWay--;
    if (this.#underWay === 0) this.#later(0);
  }

  #next(): Buffer | null {
    if (this.#underWay > 0) return null;
    const waitMs = this.#waitMs();
    if (waitMs > 0) {
      this.#counters.add('slowed-down');
      this.#later(waitMs);
      return null;
    }
    const bytes = Math.min(this.#socket.readableLength, READ_BYTES);
    const chunk: Buffer | null = this.#read(bytes || undefined);
    if (chunk === null) return null;
    const before = this.#gauge.packets;
    if (!this.#gauge.see(chunk)) {
      this.#counters.add('refused:too-large');
      this.#socket.destroy();
      return null;
    }
    this.#count(this.#gauge.packets - before);
    // Of what is left in the buffer the stream says nothing more by itself.
    if (this.#socket.readableLength > 0) this.#later(0);
    return chunk;
  }

  #waitMs(): number {
    const nowS = performance.now() / 1000;
    const waitS = Math.max(this.#own.waitS('', nowS), this.#together.waitS(this.from, nowS));
    return Math.ceil(waitS * 1000);
  }

  #count(packets: number): void {
    const nowS = performance.now() / 1000;
    this.#own.spend('', packets, nowS);
    this.#together.spend(this.from, packets, nowS);
  }

  /** Has the broker read again, after a while or as soon as others had their turn. */
  #later(ms: number): void {
    if (this.#again) return;
    this.#again = true;
    const again = () => {
      this.#again = false;
      if (!this.#socket.destroyed) this.#socket.emit('readable');
    };
    if (ms === 0) setImmediate(again);
    else setTimeout(again, ms).unref();
  }
}
