import { once } from 'node:events';
import { connect, type Socket } from 'node:net';

/** Control packets of MQTT 3.1.1, table 2.1. */
export const PACKET = { connack: 2, publish: 3, puback: 4, pubrec: 5, pubcomp: 7, suback: 9 };

export interface Packet {
  type: number;
  flags: number;
  body: Buffer;
}

/** A device that speaks MQTT 3.1.1 byte by byte, for what no client library would do. */
export class RawMqtt {
  readonly socket: Socket;
  readonly got: Packet[] = [];
  closed = false;
  #bytes = Buffer.alloc(0);

  constructor(port: number, localAddress = '127.0.0.1') {
    this.socket = connect({ port, host: '127.0.0.1', localAddress });
    this.socket.on('data', (data) => this.#take(data));
    this.socket.on('error', () => undefined);
    this.socket.on('close', () => {
      this.closed = true;
    });
  }

  static async connected(
    port: number,
    clientId = 'raw',
    { keepAliveS = 60, from = '127.0.0.1' } = {},
  ): Promise<RawMqtt> {
    const raw = new RawMqtt(port, from);
    await once(raw.socket, 'connect');
    raw.connect(clientId, keepAliveS);
    await raw.until(() => raw.of('connack').length === 1);
    return raw;
  }

  connect(clientId: string, keepAliveS = 60, flags = 2): void {
    const head = [...text('MQTT'), 4, flags, keepAliveS >> 8, keepAliveS & 255];
    this.socket.write(packet(0x10, Buffer.from([...head, ...text(clientId)])));
  }

  publish(
    topic: string,
    payload: string | Buffer,
    { id = 1, qos = 1, dup = false }: { id?: number; qos?: number; dup?: boolean } = {},
  ): void {
    this.socket.write(publishOf(topic, payload, { id, qos, dup }));
  }

  pubrel(id: number): void {
    this.socket.write(packet(0x62, Buffer.from([id >> 8, id & 255])));
  }

  subscribe(topic: string, { id = 1, qos = 0 } = {}): void {
    this.socket.write(packet(0x82, Buffer.from([id >> 8, id & 255, ...text(topic), qos])));
  }

  of(kind: keyof typeof PACKET): Packet[] {
    return this.got.filter(({ type }) => type === PACKET[kind]);
  }

  /** Packet ids that were acknowledged, in the order the acknowledgements came. */
  acknowledged(kind: 'puback' | 'pubrec' | 'pubcomp' = 'puback'): number[] {
    return this.of(kind).map(({ body }) => body.readUInt16BE(0));
  }

  async until(holds: () => boolean): Promise<void> {
    for (let tries = 0; tries < 600; tries++) {
      if (holds()) return;
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
    throw new Error(`still waiting for ${holds}; closed: ${this.closed}`);
  }

  end(): void {
    this.socket.destroy();
  }

  #take(data: Buffer): void {
    this.#bytes = Buffer.concat([this.#bytes, data]);
    for (;;) {
      let length = 0;
      let at = 1;
      for (let shift = 0; ; shift += 7) {
        const byte = this.#bytes[at++];
        if (byte === undefined) return;
        length += (byte & 127) * 2 ** shift;
        if (byte < 128) break;
      }
      if (this.#bytes.length < at + length) return;
      const first = this.#bytes[0]!;
      const body = this.#bytes.subarray(at, at + length);
      this.got.push({ type: first >> 4, flags: first & 15, body });
      this.#bytes = this.#bytes.subarray(at + length);
    }
  }
}

export function publishOf(
  topic: string,
  payload: string | Buffer,
  { id = 1, qos = 1, dup = false }: { id?: number; qos?: number; dup?: boolean } = {},
): Buffer {
  const head = [...text(topic), ...(qos > 0 ? [id >> 8, id & 255] : [])];
  return packet(
    0x30 | (dup ? 8 : 0) | (qos << 1),
    Buffer.concat([Buffer.from(head), Buffer.from(payload)]),
  );
}

function packet(first: number, body: Buffer): Buffer {
  const length: number[] = [];
  let rest = body.length;
  do {
    length.push((rest & 127) | (rest > 127 ? 128 : 0));
    rest = Math.floor(rest / 128);
  } while (rest > 0);
  return Buffer.concat([Buffer.from([first, ...length]), body]);
}

function text(of: string): number[] {
  const bytes = Buffer.from(of);
  return [bytes.length >> 8, bytes.length & 255, ...bytes];
}
