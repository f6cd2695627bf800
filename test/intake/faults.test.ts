import mqtt from 'mqtt';
import { describe, expect, it } from 'vitest';
import { HttpReadings } from '../../src/ingest/http/http-readings.ts';
import { BrokerClient } from '../../src/ingest/mqtt/broker-client.ts';
import { httpFront } from '../support/http-front.ts';
import { type Intake, intakeWith, senml, until } from '../support/intake.ts';
import { has, openMosquitto } from '../support/mosquitto.ts';
import { ownBrokers } from '../support/own-broker.ts';

/** The next message cannot be read for a fault of ours. */
function failOnce({ reader }: Intake): void {
  const read = reader.read.bind(reader);
  reader.read = () => {
    reader.read = read;
    throw new Error('a fault of ours');
  };
}

describe('a fault while a message is read acknowledges nothing, and ends nothing', () => {
  const { own } = ownBrokers();

  it('over MQTT', async () => {
    const opened = await own();
    failOnce(opened);
    const device = await opened.raw();
    device.publish('wells/barn/readings', senml(1, { boot: 1, seq: 1 }), { id: 1 });
    await until(() => device.closed);
    expect(device.of('puback')).toEqual([]);
    const again = await opened.raw();
    again.publish('wells/barn/readings', senml(1, { boot: 1, seq: 1 }), { id: 1 });
    await again.until(() => again.of('puback').length === 1);
    expect(opened.store.all()).toHaveLength(1);
  });

  it('over HTTP', async () => {
    const intake = await intakeWith();
    const readings = new HttpReadings(intake.reader);
    await readings.open(intake.inbox);
    const front = await httpFront(readings);
    const headers = { 'content-type': 'application/senml+json' };
    const post = () => fetch(front.url('barn'), { method: 'POST', headers, body: senml(1) });
    failOnce(intake);
    expect((await post()).status).toBe(503);
    expect((await post()).status).toBe(200);
    await front.close();
    await intake.inbox.close();
  });

  if (has('mosquitto'))
    it("of the keeper's broker", async () => {
      const intake = await intakeWith();
      const broker = await openMosquitto();
      const said: string[] = [];
      const say = (line: string) => said.push(line);
      const { url } = broker;
      const source = new BrokerClient({ reader: intake.reader, url, clientId: 'service', say });
      await source.open(intake.inbox);
      failOnce(intake);
      const device = await mqtt.connectAsync(url);
      await device.publishAsync('wells/barn/readings', senml(1), { qos: 1 });
      await until(() => said.some((line) => line.includes('a fault of ours')));
      expect(intake.store.all()).toEqual([]);
      await device.endAsync(true);
      await source.close();
      await broker.close();
      await intake.inbox.close();
    });
});
