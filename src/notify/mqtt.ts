import mqtt, { type MqttClient } from 'mqtt';
import { causeOf } from '../base/cause-of.ts';
import type { Notice } from '../model/alarm.ts';
import { type Notifier, NotTold } from '../ports/notifier.ts';
import { ANSWER_WITHIN_MS, placeOf } from './send-http.ts';

export interface MqttOptions {
  address: string;
  login: { user: string; password: string } | null;
  answerWithinMs?: number;
}

/** Publishes a notice as JSON on `wells/<id>/alarms`, QoS 1: taken once the broker says so. */
export class MqttNotifier implements Notifier {
  readonly #options: MqttOptions;
  #client: MqttClient | null = null;

  constructor(options: MqttOptions) {
    this.#options = options;
  }

  async tell(notice: Notice): Promise<void> {
    const { address, answerWithinMs = ANSWER_WITHIN_MS } = this.#options;
    this.#client ??= this.#connect();
    const client = this.#client;
    const publish = client.publishAsync(`wells/${notice.well}/alarms`, JSON.stringify(notice), {
      qos: 1,
    });
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<never>((_, reject) => {
      timer = setTimeout(() => reject(new Error('none in time')), answerWithinMs);
    });
    // Without a connection there is nothing to wait for.
    let onError = (_error: Error): void => {};
    const failed = new Promise<never>((_, reject) => {
      onError = reject;
      client.once('error', reject);
    });
    try {
      await Promise.race([publish, late, failed]);
    } catch (error) {
      publish.catch(() => undefined);
      this.#let();
      const where = placeOf(address);
      throw new NotTold(`${where}: expected an acknowledgement, found ${causeOf(error)}`, true);
    } finally {
      clearTimeout(timer);
      client.off('error', onError);
    }
  }

  async close(): Promise<void> {
    const client = this.#client;
    this.#client = null;
    await client?.endAsync().catch(() => undefined);
  }

  /** Whoever tells next connects anew; the notice is not sent behind its back meanwhile. */
  #let(): void {
    this.#client?.end(true);
    this.#client = null;
  }

  #connect(): MqttClient {
    const { address, login } = this.#options;
    const client = mqtt.connect(address, {
      reconnectPeriod: 0,
      connectTimeout: this.#options.answerWithinMs ?? ANSWER_WITHIN_MS,
      ...(login !== null && { username: login.user, password: login.password }),
    });
    client.setMaxListeners(0);
    // Each telling hears of its own failure; one between two is met by the next.
    client.on('error', () => undefined);
    client.on('close', () => {
      if (this.#client === client) this.#client = null;
    });
    return client;
  }
}
