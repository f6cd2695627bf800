import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt from 'mqtt';
import { LogSource } from '../../src/ingest/file/log-source.ts';
import { HttpReadings } from '../../src/ingest/http/http-readings.ts';
import { MemorySource } from '../../src/ingest/memory/memory-source.ts';
import { BrokerClient } from '../../src/ingest/mqtt/broker-client.ts';
import { OwnBroker } from '../../src/ingest/mqtt/own-broker.ts';
import type { ReadingSource } from '../../src/ports/reading-source.ts';
import { type Fed, type Feed, readingSourceContract } from '../contract/reading-source.contract.ts';
import { httpFront } from '../support/http-front.ts';
import type { Intake } from '../support/intake.ts';
import { has, openMosquitto } from '../support/mosquitto.ts';

const TOPIC = 'wells/ridge-house/readings';
const packOf = (readings: readonly Fed[]) =>
  JSON.stringify(
    readings.map(({ timeS, pressurePa }) => ({
      n: 'tee/pressure',
      u: 'Pa',
      t: timeS,
      v: pressurePa,
    })),
  );
const WRONG = JSON.stringify([{ n: 'pressure', u: 'm', v: 1 }]);

/** A device that publishes at QoS 1, by a library of its own. */
async function mqttDevice(url: () => string) {
  let device: mqtt.MqttClient | null = null;
  const connected = async () => {
    device ??= await mqtt.connectAsync(url(), { reconnectPeriod: 0 });
    return device;
  };
  return {
    publish: async (payload: string) => {
      await (await connected()).publishAsync(TOPIC, payload, { qos: 1 });
    },
    told: async (payload: string) => {
      const client = await connected();
      await client.subscribeAsync('wells/ridge-house/refused');
      const told = new Promise<string>((resolve) =>
        client.once('message', (_, message) => resolve(message.toString())),
      );
      await client.publishAsync(TOPIC, payload, { qos: 1 });
      return told;
    },
    end: () => device?.endAsync(true) ?? Promise.resolve(),
  };
}

readingSourceContract('a device in memory', async ({ reader }) => {
  const source = new MemorySource(reader);
  return {
    source,
    feed: async (readings) => void (await source.send('ridge-house', packOf(readings))),
    feedRefused: async () => JSON.stringify(await source.send('ridge-house', WRONG)),
    end: () => Promise.resolve(),
  };
});

readingSourceContract('the broker of our own', async ({ reader }) => {
  const source = new OwnBroker({ reader, host: '127.0.0.1', port: 0 });
  const device = await mqttDevice(() => `mqtt://127.0.0.1:${source.port}`);
  return {
    source,
    feed: (readings) => device.publish(packOf(readings)),
    feedRefused: () => device.told(WRONG),
    end: device.end,
  };
});

readingSourceContract('HTTP', async ({ reader }) => {
  const source = new HttpReadings(reader);
  const front = await httpFront(source);
  const post = async (body: string) => {
    const headers = { 'content-type': 'application/senml+json' };
    const answer = await fetch(front.url('ridge-house'), { method: 'POST', headers, body });
    if (!answer.ok) throw new Error(`${answer.status}`);
    return answer.text();
  };
  return {
    source,
    feed: async (readings) => void (await post(packOf(readings))),
    feedRefused: () => post(WRONG),
    end: front.close,
  };
});

/**
 * Logs are read once they are handed in: each feed is a source of its own, and those that were
 * opened close together.
 */
readingSourceContract('log files', async ({ clock, counters }: Intake): Promise<Feed> => {
  const folder = mkdtempSync(join(tmpdir(), 'logs-'));
  const sources: LogSource[] = [];
  let inbox: Parameters<ReadingSource['open']>[0] | null = null;
  const handIn = async (text: string) => {
    const path = join(folder, `${sources.length}.csv`);
    writeFileSync(path, text);
    const log = { timeZone: 'UTC', atmospherePa: 101_325, columns: {} };
    const options = { paths: [path], wellId: 'barn', device: 'log', log, clock, counters };
    const source = new LogSource(options);
    sources.push(source);
    await source.open(inbox!);
    return source.done;
  };
  return {
    source: {
      open: async (given) => {
        inbox = given;
      },
      close: async () => {
        await Promise.all(sources.map((source) => source.close()));
      },
    },
    feed: async (readings) => {
      const rows = readings.map(({ timeS, pressurePa }) => `${timeS},${pressurePa / 1000}`);
      await handIn(`time,pressure [kPa]\n${rows.join('\n')}\n`);
    },
    feedRefused: async () => {
      const { report } = await handIn('time,name,value,unit\n1775433600,pressure,3,gal\n');
      return report.setAside.map(({ reason }) => reason).join();
    },
    end: async () => rmSync(folder, { recursive: true, force: true }),
  };
});

if (has('mosquitto')) {
  readingSourceContract("a client of the keeper's broker", async ({ reader }) => {
    const broker = await openMosquitto();
    const { url } = broker;
    const source = new BrokerClient({ reader, url, clientId: 'service' });
    const device = await mqttDevice(() => url);
    const { counters } = reader;
    // That broker acknowledges by itself: here the service's own acknowledgement is what counts.
    const feed = async (readings: readonly Fed[]) => {
      const before = counters.of('readings') + counters.of('duplicates');
      await device.publish(packOf(readings));
      while (counters.of('readings') + counters.of('duplicates') < before + readings.length) {
        await new Promise((resolve) => setTimeout(resolve, 5));
      }
    };
    const end = async () => {
      await device.end();
      await broker.close();
    };
    return { source, feed, feedRefused: () => device.told(WRONG), end };
  });
}
