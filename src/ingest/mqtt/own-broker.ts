import { once } from 'node:events';
import { createServer, type Server, type Socket } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import { createServer as createTlsServer, type Server as TlsServer } from 'node:tls';
import { Aedes, type AedesOptions, type Client, type PublishPacket } from 'aedes';
import { networkOf } from '../../base/network-of.ts';
import { Paces } from '../../base/paces.ts';
import type { Gate, Who } from '../../ports/gate.ts';
import type { Arrived, Inbox, ReadingSource } from '../../ports/reading-source.ts';
import { takePatiently } from '../hand-in.ts';
import type { PackReader } from '../pack-reader.ts';
import { Guard } from './guard.ts';
import type { PlainTopic } from './plain-topics.ts';
import { mayHear, maySend } from './rights.ts';
import { refusalOf, Topics } from './topics.ts';

/** What is written by then is on its way when the connections end. */
const LAST_WORDS_MS = 1000;
/** Silence of so many keep-alives ends a connection (MQTT 3.1.1 section 3.1.2.10). */
const KEEP_ALIVES = 1.5;
const LONGEST_SHOWN = 100;
/** A device that was away may bring so many seconds' worth at once. */
const BURST_S = 5;

export interface OwnBrokerOptions {
  reader: PackReader;
  host: string;
  /** 0 takes a free one. */
  port: number;
  plainTopics?: readonly PlainTopic[];
  /** Who is let in, by name and key; without it everybody who reaches the port. */
  gate?: Pick<Gate, 'byKey'> | null;
  /** TLS is spoken where it is given. */
  tls?: { cert: string; key: string } | null;
  /** Plain sentences for the log. */
  say?: (line: string) => void;
}

type Done = (error?: Error | null) => void;

/**
 * A broker of our own (MQTT 3.1.1). A message is acknowledged once it is durably kept: the PUBACK
 * of QoS 1 and the PUBREC of QoS 2 are held back until then; at QoS 0 nothing is promised. It keeps
 * no sessions for those who are away, so its memory has a bound; results are retained instead.
 */
export class OwnBroker implements ReadingSource {
  readonly #options: OwnBrokerOptions;
  readonly #topics: Topics;
  readonly #sockets = new Map<unknown, Guard>();
  readonly #underWay = new Set<Promise<void>>();
  readonly #together: Paces;
  readonly #who = new WeakMap<Client, Who>();
  #server: Server | TlsServer | null = null;
  #aedes: Aedes | null = null;
  #inbox: Inbox | null = null;
  #closing = false;

  constructor(options: OwnBrokerOptions) {
    this.#options = options;
    this.#topics = new Topics(options.reader, options.plainTopics ?? []);
    const perS = options.reader.limits.packetsPerSAnAddress;
    this.#together = new Paces({ perS, burst: perS * BURST_S });
  }

  /** Where it listens, once it is open. */
  get port(): number {
    return (this.#server?.address() as { port: number } | null)?.port ?? 0;
  }

  async open(inbox: Inbox): Promise<void> {
    const { limits, counters } = this.#options.reader;
    this.#inbox = inbox;
    this.#aedes = await Aedes.createBroker(this.#settings());
    this.#aedes.on('keepaliveTimeout', () => counters.add('idle-closed'));
    // One connection fails as often as it has writes under way; it is counted once.
    const failed = new WeakSet<Client>();
    const fail = (client: Client) => {
      if (!failed.has(client)) counters.add('connection-failed');
      failed.add(client);
    };
    this.#aedes.on('clientError', fail).on('connectionError', fail);
    this.#server = this.#listener();
    this.#server.maxConnections = limits.connections;
    this.#server.on('drop', () => counters.add('connections-turned-away'));
    this.#server.listen(this.#options.port, this.#options.host);
    await once(this.#server, 'listening');
  }

  /** A certificate made anew, for connections from now on. */
  renew(tls: { cert: string; key: string }): void {
    if (this.#server !== null && 'setSecureContext' in this.#server)
      this.#server.setSecureContext(tls);
  }

  #listener(): Server | TlsServer {
    const { tls, reader } = this.#options;
    const connect = (socket: Socket) => this.#connect(socket);
    if (!tls) return createServer({ noDelay: true }, connect);
    const handshakeTimeout = reader.limits.connectWithinS * 1000;
    const options = { ...tls, minVersion: 'TLSv1.2', handshakeTimeout, noDelay: true } as const;
    return createTlsServer(options, connect).on('tlsClientError', () =>
      reader.counters.add('connection-failed'),
    );
  }

  /** Tells those who listen, and with `retain` those who listen later. */
  publish(topic: string, payload: string, retain: boolean): Promise<void> {
    const packet = { cmd: 'publish', topic, payload, qos: 1, retain, dup: false } as const;
    return new Promise((resolve, reject) => {
      if (this.#aedes === null) return resolve();
      this.#aedes.publish(packet, (error) => (error ? reject(error) : resolve()));
    });
  }

  async close(): Promise<void> {
    this.#closing = true;
    this.#server?.close();
    await Promise.all(this.#underWay);
    const ended = this.#open().map(
      (socket) => new Promise<void>((resolve) => socket.once('close', () => resolve())),
    );
    for (const socket of this.#open()) socket.end();
    await Promise.race([Promise.all(ended), sleep(LAST_WORDS_MS, undefined, { ref: false })]);
    for (const socket of this.#open()) socket.destroy();
    await new Promise<void>((resolve) => {
      if (this.#aedes === null) resolve();
      else this.#aedes.close(() => resolve());
    });
    this.#aedes = null;
  }

  #connect(socket: Socket): void {
    const { limits, counters } = this.#options.reader;
    const from = networkOf(socket.remoteAddress ?? '');
    const same = [...this.#sockets.values()].filter((one) => one.from === from).length;
    if (same >= limits.connectionsAnAddress) {
      counters.add('connections-turned-away');
      socket.destroy();
      return;
    }
    this.#sockets.set(
      socket,
      new Guard(socket, { from, limits, counters, together: this.#together }),
    );
    socket.on('close', () => this.#sockets.delete(socket));
    this.#aedes?.handle(socket, undefined as never);
  }

  #open(): Socket[] {
    return [...this.#sockets.keys()] as Socket[];
  }

  #settings(): AedesOptions {
    const { reader, gate } = this.#options;
    const { connectWithinS, drainS, idleS, packetsPerS, qos2InFlight } = reader.limits;
    const { clientIdChars, topicChars } = reader.limits;
    const longest = Math.floor(idleS / KEEP_ALIVES);
    return {
      connectTimeout: connectWithinS * 1000,
      drainTimeout: drainS * 1000,
      // What comes before the CONNACK is no more than one read of the socket.
      queueLimit: packetsPerS,
      maxInflightInbound: qos2InFlight,
      preConnect: (_, packet, done) => {
        packet.clean = true;
        packet.keepalive = Math.min(packet.keepalive || longest, longest);
        const fits = packet.clientId.length <= clientIdChars;
        done(fits ? null : new Error('the name is too long'), fits);
      },
      authenticate: (client, name, password, done) =>
        done(
          null,
          !gate || this.#knows(client, name, gate.byKey(Buffer.from(password ?? '').toString())),
        ),
      authorizePublish: (client, packet, done) => {
        try {
          this.#take(client, packet, done);
        } catch (error) {
          // A fault of ours: not acknowledged, and no end of the service.
          done(asError(error));
        }
      },
      authorizeSubscribe: (client, subscription, done) => {
        const { subscriptions } = client as Client & { subscriptions: object };
        const has = Object.keys(subscriptions).length;
        const { topic } = subscription;
        const who = this.#who.get(client);
        const may = who === undefined || mayHear(who, topic);
        const fits = topic.length <= topicChars && !topic.startsWith('$');
        const welcome = may && fits && has < reader.limits.subscriptions;
        if (!welcome) reader.counters.add('subscription-refused');
        done(null, welcome ? subscription : null);
      },
      authorizeForward: (client, packet) => {
        if (this.#who.get(client)?.holds() !== false) return packet;
        client.close();
        return null;
      },
    };
  }

  /** Whether a name and its key are in force; then the client goes by that name from now on. */
  #knows(client: Client, name: string | undefined, who: Who | null): boolean {
    if (who === null || who.name !== name) {
      this.#options.reader.counters.add('key-refused');
      return false;
    }
    this.#who.set(client, who);
    // Nobody takes over the connection of another by its client id.
    client.id = `${name} ${client.id}`;
    return true;
  }

  /** The acknowledgement waits for `done`, which comes once all packs of the message are kept. */
  #take(client: Client | null, packet: PublishPacket, done: Done): void {
    if (this.#closing) return;
    const { topic, payload, qos } = packet;
    const from = client === null ? undefined : this.#who.get(client);
    if (from !== undefined && !maySend(from, this.#topics.wells(topic))) {
      this.#options.reader.counters.add('publish-refused');
      this.#options.say?.(
        `${from.name}: expected its own well and a key in force, found '${topic}'`,
      );
      done(new Error('not allowed'));
      return;
    }
    const packs = this.#topics.packs(topic, Buffer.from(payload));
    if (packs === null) {
      const who = client?.id ?? 'a client';
      const found = `${shown(who)}: expected a topic that is known here, found ${shown(topic)}`;
      this.#options.say?.(found);
      done(new Error('the topic is not known here'));
      return;
    }
    // Of what devices send nothing is retained: topics are made up by whoever sends.
    packet.retain = false;
    const guard = this.#sockets.get(client?.conn);
    guard?.began();
    const taken = this.#keep(packs, client, qos)
      .catch(asError)
      .then((error) => {
        this.#underWay.delete(taken);
        guard?.settled();
        if (!this.#closing || error === null) done(error);
      });
    this.#underWay.add(taken);
  }

  async #keep(packs: Arrived[], client: Client | null, qos: number): Promise<Error | null> {
    const { reader } = this.#options;
    const { counters } = reader;
    const isGone = () => this.#closing || client?.closed === true;
    const kept = await Promise.all(
      packs.map((pack) => takePatiently(this.#inbox!, pack, { isGone, counters, pace: reader })),
    );
    if (!kept.includes(null)) {
      // Not waited for: acknowledgements go out in the order that messages came in.
      for (const pack of packs) this.#tell(pack);
      return null;
    }
    if (qos === 0) counters.add('lost-unacknowledged');
    return new Error('not kept');
  }

  #tell(pack: Arrived): void {
    const refusal = refusalOf(pack);
    if (refusal === null) return;
    const { topic, payload } = refusal;
    this.publish(topic, payload, false).catch((error) => this.#options.say?.(String(error)));
  }
}

/** What somebody else made up, as it can stand in a log: no control, no end. */
const shown = (text: string): string => JSON.stringify(text.slice(0, LONGEST_SHOWN));

const asError = (error: unknown) => (error instanceof Error ? error : new Error(String(error)));
