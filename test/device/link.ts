import { createServer, type Server } from 'node:http';
import { Duplex } from 'node:stream';
import { Aedes, type AedesPublishPacket } from 'aedes';
import { readPack, type SenmlPack } from '../../src/messages/senml/readings.ts';

const POLLIN = 1;
const POLLOUT = 4;
const POLLERR = 8;

/** One connection: what the board writes goes to `server`, what comes back waits in `came`. */
class Wire {
  came = Buffer.alloc(0);
  isEnded = false;
  readonly server: Duplex;

  constructor(hears: (bytes: Buffer) => boolean) {
    this.server = new Duplex({
      read() {},
      write: (chunk: Buffer, _, done) => {
        if (hears(chunk)) this.came = Buffer.concat([this.came, chunk]);
        done();
      },
      final: (done) => {
        this.isEnded = true;
        done();
      },
      destroy: (_, done) => {
        this.isEnded = true;
        done(null);
      },
    });
  }
}

export interface Received extends SenmlPack {
  bytes: number;
  records: readonly Record<string, unknown>[];
}

/** A network that fails as told, with a real broker and a real HTTP server at its other end. */
export class Link {
  isUp = true;
  /** So many acknowledgements are lost on their way, each with its connection. */
  acknowledgementsToLose = 0;
  connections = 0;
  /** What MQTT said of each pack. */
  readonly headers: Pick<AedesPublishPacket, 'qos' | 'retain' | 'dup' | 'messageId'>[] = [];
  readonly packs: Received[] = [];
  readonly aedes: Aedes;
  readonly #http: Server;
  readonly #wires = new Map<number, Wire>();

  constructor(aedes: Aedes) {
    this.aedes = aedes;
    aedes.authorizePublish = (_, message, done) => {
      if (message.topic === 'wells/my-well/readings') {
        this.#take(message.payload.toString());
        const { qos, retain, dup, messageId } = message as AedesPublishPacket;
        this.headers.push({ qos, retain, dup, messageId: messageId ?? 0 });
      }
      done(null);
    };
    this.#http = createServer((request, response) => {
      const parts: Buffer[] = [];
      request.on('data', (part: Buffer) => parts.push(part));
      request.on('end', () => {
        if (request.url === '/api/v1/wells/my-well/readings' && request.method === 'POST')
          this.#take(Buffer.concat(parts).toString());
        else response.statusCode = 404;
        response.end('{"accepted":1,"duplicate":0,"refused":[]}');
      });
    });
  }

  static async open(): Promise<Link> {
    return new Link(await Aedes.createBroker());
  }

  /** The functions that test/device/board/*.py call. */
  forBoard() {
    return {
      isUp: () => this.isUp,
      open: (host: string, port: number) => this.#open(host, port),
      events: (id: number) => this.#events(id),
      send: (id: number, hex: string) => this.#send(id, hex),
      recv: (id: number, most: number) => this.#recv(id, most),
      close: (id: number) => this.#drop(id),
    };
  }

  /** The network goes: what is under way is lost. */
  down(): void {
    this.isUp = false;
    for (const id of [...this.#wires.keys()]) this.#drop(id);
  }

  get isIdle(): boolean {
    return this.#wires.size === 0;
  }

  async close(): Promise<void> {
    this.down();
    await new Promise<void>((done) => this.aedes.close(() => done()));
  }

  #take(text: string): void {
    const records = JSON.parse(text) as Record<string, unknown>[];
    this.packs.push({ ...readPack(records), bytes: Buffer.byteLength(text), records });
  }

  #open(host: string, port: number): number {
    if (!this.isUp || host !== '192.168.1.10') return -1;
    const id = ++this.connections;
    const wire: Wire = new Wire((bytes) => {
      const isAcknowledgement = bytes[0] === 0x40 || bytes.subarray(0, 8).toString() === 'HTTP/1.1';
      if (!isAcknowledgement || this.acknowledgementsToLose === 0) return true;
      this.acknowledgementsToLose--;
      wire.isEnded = true;
      return false;
    });
    this.#wires.set(id, wire);
    if (port === 1883) this.aedes.handle(wire.server, undefined as never);
    else this.#http.emit('connection', wire.server);
    return id;
  }

  #events(id: number): number {
    const wire = this.#wires.get(id);
    if (wire === undefined) return POLLERR;
    return POLLOUT | (wire.came.length > 0 || wire.isEnded ? POLLIN : 0);
  }

  #send(id: number, hex: string): boolean {
    const wire = this.#wires.get(id);
    if (wire === undefined || wire.isEnded) return false;
    wire.server.push(Buffer.from(hex, 'hex'));
    return true;
  }

  #recv(id: number, most: number): string {
    const wire = this.#wires.get(id);
    if (wire === undefined) return '';
    if (wire.came.length === 0) return wire.isEnded ? '' : 'wait';
    const piece = wire.came.subarray(0, most);
    wire.came = wire.came.subarray(most);
    return piece.toString('hex');
  }

  #drop(id: number): void {
    this.#wires.get(id)?.server.destroy();
    this.#wires.delete(id);
  }
}
