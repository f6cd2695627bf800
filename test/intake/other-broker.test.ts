import { once } from 'node:events';
import mqtt from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { BrokerClient, type BrokerClientOptions } from '../../src/ingest/mqtt/broker-client.ts';
import { StoreRefuses } from '../../src/ports/reading-store.ts';
import { intakeWith, senml, until } from '../support/intake.ts';
import { MemoryReadings } from '../support/memory-readings.ts';
import { has, openMosquitto, run } from '../support/mosquitto.ts';
import { RawMqtt } from '../support/raw-mqtt.ts';

const READINGS = 'wells/ridge-house/readings';
const closers: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

async function clientOf(url: string, options: Partial<BrokerClientOptions> = {}) {
  const store = new MemoryReadings();
  const intake = await intakeWith({ tryAgainS: 0.1 }, { store });
  const said: string[] = [];
  const say = (line: string) => said.push(line);
  const { reader } = intake;
  const client = new BrokerClient({
    ...{ reader, url, clientId: 'well-service', say },
    ...options,
  });
  closers.push(async () => {
    await client.close();
    await intake.inbox.close();
  });
  await client.open(intake.inbox);
  return { ...intake, store, client, said };
}

if (has('mosquitto') && has('mosquitto_pub')) {
  const publish = (port: number, topic: string, message: string, qos = 1) =>
    run('mosquitto_pub', ['-p', `${port}`, '-q', `${qos}`, '-t', topic, '-m', message]);

  describe("a client of the keeper's broker", () => {
    it('takes mapped topics as well, and tells results and refusals there', async () => {
      const broker = await openMosquitto();
      closers.push(broker.close);
      const filter = 'shed/+/psi';
      const { store, client, counters } = await clientOf(broker.url, {
        plainTopics: [
          { filter, wellId: 'barn', channel: 'pressure', unit: 'psi', atmospherePa: 101_325 },
        ],
      });
      const listener = await mqtt.connectAsync(broker.url);
      closers.push(() => listener.endAsync(true));
      const heard: string[] = [];
      listener.on('message', (topic, message) => heard.push(`${topic} ${message}`));
      await listener.subscribeAsync(['wells/+/results', 'wells/+/refused']);
      await publish(broker.port, 'shed/tee/psi', '40', 0);
      await publish(broker.port, READINGS, 'no JSON');
      await client.publish('wells/barn/results', '[]', true);
      await until(() => heard.length === 2 && store.packs.length === 2);
      expect(counters.of(`plain:${filter}`)).toBe(1);
      // 1 psi = 6894.757 Pa (NIST SP 811, appendix B).
      expect(store.all()[0]!.value).toBeCloseTo(40 * 6894.757, 0);
      expect(heard.toSorted()).toEqual([
        'wells/barn/results []',
        'wells/ridge-house/refused {"device":"","boot":null,"seq":null,' +
          '"refused":[{"index":-1,"code":"unreadable"}]}',
      ]);
    });

    it('tells results again to a broker that comes back empty, and counts the rest', async () => {
      const first = await openMosquitto();
      const { port } = first;
      const { client, counters } = await clientOf(`mqtt://127.0.0.1:${port}`);
      await client.publish('wells/barn/results', '[1]', true);
      await first.close();
      await until(() => counters.of('reconnects') > 0);
      await client.publish('wells/barn/results', '[2]', true);
      await client.publish('wells/ridge-house/results', '[3]', true);
      await client.publish('wells/barn/please', '{}', false);
      expect(counters.of('not-told')).toBe(1);
      const second = await openMosquitto(port);
      closers.push(second.close);
      const listener = await mqtt.connectAsync(second.url);
      closers.push(() => listener.endAsync(true));
      const heard: string[] = [];
      listener.on('message', (topic, message) => heard.push(`${topic} ${message}`));
      await listener.subscribeAsync('wells/#');
      await until(() => heard.length === 2);
      expect(heard.toSorted()).toEqual(['wells/barn/results [2]', 'wells/ridge-house/results [3]']);
    });

    it('waits for a broker that is not there, and comes back to one that was away', async () => {
      const first = await openMosquitto();
      const { port } = first;
      await first.close();
      const { store, counters, said } = await clientOf(`mqtt://127.0.0.1:${port}`);
      expect(said.join()).toMatch(/ECONNREFUSED|found none/);
      const second = await openMosquitto(port);
      await until(() => counters.of('reconnects') > 0);
      const send = async (seq: number) => {
        while (store.packs.length < seq) {
          await publish(port, READINGS, senml(1, { boot: 1, seq }));
          await new Promise((resolve) => setTimeout(resolve, 50));
        }
      };
      await send(1);
      await second.close();
      const third = await openMosquitto(port);
      closers.push(third.close);
      await send(2);
      expect(store.packs.map(({ seq }) => seq)).toEqual([1, 2]);
    });

    it('acknowledges nothing for a connection that is gone, and keeps nothing twice', async () => {
      const broker = await openMosquitto();
      closers.push(broker.close);
      const { store, counters } = await clientOf(broker.url);
      store.refuses = new StoreRefuses('read-only', 'disk');
      await publish(broker.port, READINGS, senml(1, { boot: 1, seq: 1 }));
      await until(() => counters.of('not-acknowledged') > 0);
      // Another client of the same name ends the connection of ours (MQTT 3.1.1 section 3.1.4).
      const thief = new RawMqtt(broker.port);
      await once(thief.socket, 'connect');
      thief.connect('well-service', 60, 0);
      await thief.until(() => thief.of('publish').length === 1);
      thief.end();
      await until(() => counters.of('reconnects') > 0);
      store.refuses = null;
      await until(() => store.packs.length === 1);
      await publish(broker.port, READINGS, senml(2, { boot: 1, seq: 2 }));
      await until(() => store.packs.length === 2);
    });
  });
}

describe("the keeper's broker", () => {
  it('that does not answer is told, and the service goes on', async () => {
    const { said, client } = await clientOf('mqtt://127.0.0.1:1');
    expect(said.length).toBeGreaterThan(0);
    await client.publish('wells/barn/results', '[]', true);
  });
});
