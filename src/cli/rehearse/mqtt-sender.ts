import mqtt, { type MqttClient } from 'mqtt';
import { causeOf } from '../../base/cause-of.ts';
import { UsageError } from '../usage.ts';
import { type Credentials, type Please, type Sender, TroubleTeller } from './sender.ts';

const AGAIN_AFTER_MS = 1000;
const CONNECTS_WITHIN_MS = 15_000;
const KEEP_ALIVE_S = 30;
/** CONNACK codes of MQTT 3.1.1, table 3.1, that say who may come in. */
const NOT_LET_IN = [4, 5];
const LONGEST_PLEASE_S = 86_400;

export interface MqttWay {
  /** Broker with topic, as in mqtt://host:1883/wells/ridge-house/readings. */
  address: string;
  credentials: Credentials | null;
  say: (line: string) => void;
  please: (ask: Please) => void;
}

/** Broker and topics of an address, which the path names. */
function placesOf(address: string): { broker: string; readings: string; please: string } {
  const url = new URL(address);
  const topic = decodeURIComponent(url.pathname.slice(1));
  const id = /^wells\/([a-z0-9-]{1,32})\/readings$/.exec(topic)?.[1];
  if (id === undefined) {
    throw new UsageError(
      `--to: expected the topic in the address, as in ${url.protocol}//${url.host}` +
        `/wells/ridge-house/readings, found "${address}"`,
    );
  }
  return {
    broker: `${url.protocol}//${url.host}`,
    readings: topic,
    please: `wells/${id}/please`,
  };
}

/** What a service asks of the device, or null where it cannot be read. */
export function readPlease(text: string): Please | null {
  let ask: Partial<Please> | null;
  try {
    ask = JSON.parse(text);
  } catch {
    return null;
  }
  const { intervalS, forS } = ask ?? {};
  if (typeof intervalS !== 'number' || typeof forS !== 'number') return null;
  const fits = intervalS >= 0.1 && intervalS <= 3600 && forS > 0 && forS <= LONGEST_PLEASE_S;
  return fits ? { intervalS, forS } : null;
}

/**
 * Publishes packs at QoS 1. The client keeps what has no PUBACK and sends it again on the next
 * connection; `send` resolves with the PUBACK.
 */
export class MqttSender implements Sender {
  readonly atOnce = 100;
  readonly refused = 0;
  readonly #client: MqttClient;
  readonly #topic: string;
  readonly #lost: Promise<never>;

  private constructor(client: MqttClient, topic: string, lost: Promise<never>) {
    this.#client = client;
    this.#topic = topic;
    this.#lost = lost;
    // A refusal that comes while nothing is under way is met by the next pack.
    lost.catch(() => undefined);
  }

  /** Connects; a broker that is not there or does not let us in is an error at once. */
  static async connect(way: MqttWay): Promise<MqttSender> {
    const { broker, readings, please } = placesOf(way.address);
    const client = mqtt.connect(broker, {
      protocolVersion: 4,
      reconnectPeriod: AGAIN_AFTER_MS,
      connectTimeout: CONNECTS_WITHIN_MS,
      keepalive: KEEP_ALIVE_S,
      ...(way.credentials === null
        ? {}
        : { username: way.credentials.user, password: way.credentials.password }),
    });
    await connected(client, broker);
    const lost = watch(client, broker, way.say);
    client.on('message', (_, payload) => {
      const ask = readPlease(payload.toString());
      if (ask !== null) way.please(ask);
      else way.say(`${please}: expected { intervalS, forS }, found ${payload}: not obeyed`);
    });
    client.subscribe(please, { qos: 1 }, (error) => {
      if (error) way.say(`${please}: expected to hear wishes, found ${causeOf(error)}`);
    });
    return new MqttSender(client, readings, lost);
  }

  async send(pack: string): Promise<void> {
    const acknowledged = this.#publish(pack);
    acknowledged.catch(() => undefined);
    await Promise.race([acknowledged, this.#lost]);
  }

  /** What comes while the client sends old packs again is let go by it with the connection. */
  async #publish(pack: string): Promise<void> {
    for (;;) {
      try {
        await this.#client.publishAsync(this.#topic, pack, { qos: 1 });
        return;
      } catch (error) {
        if (this.#client.disconnecting) throw error;
      }
    }
  }

  async close(): Promise<void> {
    await this.#client.endAsync();
  }
}

/** The first connection, or why there is none; later ones are the client's own care. */
function connected(client: MqttClient, broker: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const fail = (found: string) => {
      client.end(true);
      reject(new UsageError(`${broker}: expected a connection, found ${found}`));
    };
    client.once('connect', () => {
      client.off('error', onError);
      client.off('close', onClose);
      resolve();
    });
    const onError = (error: Error) => fail(causeOf(error));
    const onClose = () => fail('none within a reasonable time');
    client.once('error', onError);
    client.once('close', onClose);
  });
}

/** Tells of connections lost and found; rejects when the broker no longer lets us in. */
function watch(client: MqttClient, broker: string, say: (line: string) => void): Promise<never> {
  const trouble = new TroubleTeller(say);
  client.on('connect', () => trouble.over(broker));
  client.on('close', () => {
    if (!client.disconnecting) trouble.began(`${broker}: expected to stay, found connection lost`);
  });
  return new Promise((_, reject) => {
    client.on('error', (error) => {
      const code = 'code' in error ? error.code : undefined;
      if (!NOT_LET_IN.includes(code as number)) return;
      client.end(true);
      reject(new UsageError(`${broker}: expected a connection, found ${causeOf(error)}`));
    });
  });
}
