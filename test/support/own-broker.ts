import { afterEach } from 'vitest';
import { OwnBroker, type OwnBrokerOptions } from '../../src/ingest/mqtt/own-broker.ts';
import { type Intake, intakeWith } from './intake.ts';
import { MemoryReadings } from './memory-readings.ts';
import { RawMqtt } from './raw-mqtt.ts';

/** Our own brokers, each closed after the test that opened it; so is what else it adds. */
export function ownBrokers() {
  const closers: (() => Promise<unknown>)[] = [];
  afterEach(async () => {
    for (const close of closers.splice(0).reverse()) await close();
  });
  const own = async (...args: Parameters<typeof openOwnBroker>) => {
    const opened = await openOwnBroker(...args);
    closers.push(opened.close);
    return opened;
  };
  return { closers, own };
}

/** Our own broker on a free port, before a store in memory. */
export async function openOwnBroker(
  limits: Parameters<typeof intakeWith>[0] = {},
  options: Partial<OwnBrokerOptions> = {},
) {
  const store = new MemoryReadings();
  const intake: Intake = await intakeWith({ tryAgainS: 0.1, ...limits }, { store });
  const said: string[] = [];
  const broker = new OwnBroker({
    reader: intake.reader,
    host: '127.0.0.1',
    port: 0,
    say: (line) => said.push(line),
    ...options,
  });
  await broker.open(intake.inbox);
  const raws: RawMqtt[] = [];
  return {
    ...intake,
    store,
    broker,
    said,
    url: `mqtt://127.0.0.1:${broker.port}`,
    /** A device byte by byte, connected. */
    async raw(clientId = `raw-${raws.length}`, keepAliveS = 60): Promise<RawMqtt> {
      const raw = await RawMqtt.connected(broker.port, clientId, { keepAliveS });
      raws.push(raw);
      return raw;
    },
    async close(): Promise<void> {
      for (const raw of raws) raw.end();
      await broker.close();
      await intake.inbox.close();
    },
  };
}

/** Lets commits of a store through one by one, or all of them. */
export function gate(store: MemoryReadings) {
  const waiting: (() => void)[] = [];
  store.slow = () => new Promise<void>((resolve) => waiting.push(resolve));
  return {
    waiting,
    open: () => {
      store.slow = () => Promise.resolve();
      for (const resolve of waiting.splice(0)) resolve();
    },
  };
}
