import mqtt, { type IPublishPacket, type MqttClient } from 'mqtt';
import type { Inbox, ReadingSource } from '../../ports/reading-source.ts';
import { takePatiently } from '../hand-in.ts';
import type { PackReader } from '../pack-reader.ts';
import type { PlainTopic } from './plain-topics.ts';
import { refusalOf, Topics } from './topics.ts';

const FIRST_WAIT_MS = 500;
const LONGEST_WAIT_MS = 60_000;
const CONNECTS_WITHIN_MS = 15_000;
const KEEP_ALIVE_S = 30;

export interface BrokerClientOptions {
  reader: PackReader;
  /** mqtt://host:1883 or mqtts://… */
  url: string;
  /** Under this name the broker keeps what comes while we are away. */
  clientId: string;
  credentials?: { user: string; password: string };
  plainTopics?: readonly PlainTopic[];
  /** Plain sentences for the log. */
  say?: (line: string) => void;
}

/**
 * Takes readings from a broker that the keeper runs already, over a session that lasts. One message
 * at a time: its PUBACK goes out once it is durably kept, so that the broker sends it again to a
 * service that was stopped before.
 */
export class BrokerClient implements ReadingSource {
  readonly #options: BrokerClientOptions;
  readonly #topics: Topics;
  #client: MqttClient | null = null;
  #inbox: Inbox | null = null;
  #closing = false;
  /** Grows with every connection lost: what came before is sent again. */
  #connection = 0;
  #underWay: Promise<void> = Promise.resolve();
  /** The latest of each retained topic: results of so many wells. */
  readonly #retained = new Map<string, string>();

  constructor(options: BrokerClientOptions) {
    this.#options = options;
    this.#topics = new Topics(options.reader, options.plainTopics ?? []);
  }

  /** Resolves once subscribed, or once it is told that the broker does not answer yet. */
  open(inbox: Inbox): Promise<void> {
    const { url, clientId, credentials, say } = this.#options;
    this.#inbox = inbox;
    const client = mqtt.connect(url, {
      protocolVersion: 4,
      clean: false,
      clientId,
      resubscribe: false,
      queueQoSZero: false,
      connectTimeout: CONNECTS_WITHIN_MS,
      keepalive: KEEP_ALIVE_S,
      reconnectPeriod: FIRST_WAIT_MS,
      ...(credentials && { username: credentials.user, password: credentials.password }),
    });
    this.#client = client;
    client.handleMessage = (packet, done) => this.#take(packet as IPublishPacket, done);
    return new Promise((resolve) => {
      client.on('connect', () => {
        client.options.reconnectPeriod = FIRST_WAIT_MS;
        this.#tellRetained(client);
        this.#subscribe(client).then(resolve);
      });
      client.on('close', () => {
        this.#connection++;
        if (this.#closing) return;
        const waitMs = client.options.reconnectPeriod ?? FIRST_WAIT_MS;
        client.options.reconnectPeriod = Math.min(2 * waitMs, LONGEST_WAIT_MS);
        this.#options.reader.counters.add('reconnects');
        say?.(`${url}: expected a connection, found none; trying again`);
        resolve();
      });
      client.on('error', (error) => say?.(`${url}: ${error.message}`));
    });
  }

  /**
   * Tells those who listen on that broker. What is retained is told again on each connection, as
   * that broker may have lost it or was away; what is not is counted where it reaches nobody.
   */
  async publish(topic: string, payload: string, retain: boolean): Promise<void> {
    if (retain) this.#retained.set(topic, payload);
    if (this.#client?.connected)
      await this.#client.publishAsync(topic, payload, { qos: 1, retain });
    else if (!retain) this.#options.reader.counters.add('not-told');
  }

  #tellRetained(client: MqttClient): void {
    const { say } = this.#options;
    for (const [topic, payload] of this.#retained)
      client.publishAsync(topic, payload, { qos: 1, retain: true }).catch((error: Error) => {
        if (!this.#closing) say?.(`${topic}: ${error.message}`);
      });
  }

  async close(): Promise<void> {
    this.#closing = true;
    await this.#underWay;
    await this.#client?.endAsync();
    this.#client = null;
  }

  async #subscribe(client: MqttClient): Promise<void> {
    const { url, say } = this.#options;
    const wanted = Object.fromEntries(
      this.#topics.filters().map((one) => [one, { qos: 1 as const }]),
    );
    try {
      for (const { topic, qos } of await client.subscribeAsync(wanted)) {
        if (qos > 2) say?.(`${url}: expected to be given '${topic}', found it refused`);
      }
    } catch (error) {
      say?.(`${url}: expected to be given the readings, found ${(error as Error).message}`);
    }
  }

  #take(packet: IPublishPacket, done: (error?: Error) => void): void {
    if (this.#closing) return;
    this.#underWay = this.#keep(packet, this.#connection).then(
      (kept) => {
        if (kept) done();
      },
      // Without an acknowledgement the broker sends it again on the next connection.
      (error) => this.#options.say?.(`a message was not kept: ${error}`),
    );
  }

  /** False where the connection is gone: what is sent again is acknowledged then. */
  async #keep({ topic, payload, qos }: IPublishPacket, connection: number): Promise<boolean> {
    const packs = this.#topics.packs(topic, Buffer.from(payload));
    // Nobody promised to keep it: it is counted, and not sent again.
    if (packs === null) return true;
    const { counters } = this.#options.reader;
    const isGone = () => this.#closing || this.#connection !== connection;
    const kept = await Promise.all(
      packs.map((pack) => takePatiently(this.#inbox!, pack, { isGone, counters })),
    );
    if (kept.includes(null)) {
      if (qos === 0) counters.add('lost-unacknowledged');
      return false;
    }
    for (const refusal of packs.map(refusalOf)) {
      if (refusal === null) continue;
      this.publish(refusal.topic, refusal.payload, false).catch((error) =>
        this.#options.say?.(String(error)),
      );
    }
    return this.#connection === connection;
  }
}
