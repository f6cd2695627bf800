import { connect, type Socket } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Arrived } from '../../src/ports/reading-source.ts';
import { openOwnBroker } from '../support/own-broker.ts';
import { PACKET } from '../support/raw-mqtt.ts';
import { Packets } from './packets.ts';
import { T0_S } from './packs.ts';

const POLLIN = 1;
const POLLOUT = 4;
const POLLERR = 8;
/** How long an answer of the intake is waited for, real ms, before the board goes on without. */
const PATIENCE_MS = 200;

/** One connection to the intake: what comes back waits in `came`. */
interface Wire {
  socket: Socket;
  came: Buffer;
  isEnded: boolean;
}

type Intake = Awaited<ReturnType<typeof openOwnBroker>>;

/** A network that fails as told, with the intake of the service itself at its other end. */
export class Link {
  isUp = true;
  /** So many acknowledgements are lost on their way, each with its connection. */
  acknowledgementsToLose = 0;
  /** Flags of what the board published (MQTT 3.1.1 figure 3.10). */
  readonly flags: number[] = [];
  /** All that the intake was handed, what came twice included. */
  readonly packs: Arrived[] = [];
  readonly intake: Intake;
  patienceMs = PATIENCE_MS;
  /** Packets of the board that are to be answered and are not yet. */
  #open = 0;
  #lastId = 0;
  readonly #wires = new Map<number, Wire>();

  private constructor(intake: Intake) {
    this.intake = intake;
    const take = intake.inbox.take.bind(intake.inbox);
    intake.inbox.take = (pack) => {
      this.packs.push(pack);
      return take(pack);
    };
  }

  static async open(options: Parameters<typeof openOwnBroker>[1] = {}): Promise<Link> {
    // A board that lives faster than the clock sends as fast.
    return new Link(await openOwnBroker({ packetsPerS: 100_000 }, options));
  }

  /** The functions that test/device/board/*.py call. */
  forBoard() {
    return {
      isUp: () => this.isUp,
      open: (host: string) => this.#connect(host),
      events: (id: number) => this.#events(id),
      send: (id: number, hex: string) => this.#send(id, hex),
      recv: (id: number, most: number) => this.#recv(id, most),
      close: (id: number) => this.#drop(id),
    };
  }

  setTime(sinceS: number): void {
    this.intake.clock.s = T0_S + sinceS;
  }

  /** Resolves once the intake has answered what it was sent, or does not. */
  async answered(): Promise<void> {
    const beganMs = performance.now();
    while (this.#open > 0 && performance.now() - beganMs < this.patienceMs)
      await new Promise((done) => setImmediate(done));
    this.#open = 0;
  }

  /** The network goes: what is under way is lost. */
  down(): void {
    this.isUp = false;
    for (const id of [...this.#wires.keys()]) this.#drop(id);
  }

  /** The service asks for something on the topic of the well. */
  async please(content: string): Promise<void> {
    await this.intake.broker.publish('wells/ridge-house/please', content, false);
    await sleep(20);
  }

  async close(): Promise<void> {
    this.down();
    await this.intake.close();
  }

  #connect(host: string): number {
    if (!this.isUp || host !== '192.168.1.10') return -1;
    const socket = connect({ port: this.intake.broker.port, host: '127.0.0.1', noDelay: true });
    const wire: Wire = { socket, came: Buffer.alloc(0), isEnded: false };
    const up = new Packets((type, flags) => {
      this.#open++;
      if (type === PACKET.publish) this.flags.push(flags);
    });
    const down = new Packets((type, _, bytes) => {
      if (type !== PACKET.publish) this.#open--;
      if (type === PACKET.puback && this.acknowledgementsToLose > 0) {
        this.acknowledgementsToLose--;
        socket.destroy();
      }
      if (!socket.destroyed) wire.came = Buffer.concat([wire.came, bytes]);
    });
    socket.on('data', (bytes) => down.add(bytes));
    socket.on('error', () => undefined);
    socket.on('close', () => {
      wire.isEnded = true;
      this.#open = 0;
    });
    const write = socket.write.bind(socket);
    socket.write = ((bytes: Buffer) => {
      up.add(bytes);
      return write(bytes);
    }) as typeof socket.write;
    this.#wires.set(++this.#lastId, wire);
    return this.#lastId;
  }

  #events(id: number): number {
    const wire = this.#wires.get(id);
    if (wire === undefined) return POLLERR;
    return POLLOUT | (wire.came.length > 0 || wire.isEnded ? POLLIN : 0);
  }

  #send(id: number, hex: string): boolean {
    const wire = this.#wires.get(id);
    if (wire === undefined || wire.isEnded) return false;
    wire.socket.write(Buffer.from(hex, 'hex'));
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
    this.#wires.get(id)?.socket.destroy();
    this.#wires.delete(id);
  }
}
