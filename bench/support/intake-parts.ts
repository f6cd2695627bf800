import { Counters } from '../../src/ingest/counters.ts';
import { HttpReadings } from '../../src/ingest/http/http-readings.ts';
import { GroupInbox } from '../../src/ingest/inbox/inbox.ts';
import { type Limits, limitsWith } from '../../src/ingest/limits.ts';
import { OwnBroker } from '../../src/ingest/mqtt/own-broker.ts';
import { PackReader } from '../../src/ingest/pack-reader.ts';
import type { ReadingStore } from '../../src/ports/reading-store.ts';
import { httpFront } from '../../test/support/http-front.ts';
import { MemoryReadings } from '../../test/support/memory-readings.ts';

/** The whole way in, MQTT and HTTP on free ports before a store, as the service has it. */
export async function openIntake(store: Pick<ReadingStore, 'keep'>, other: Partial<Limits> = {}) {
  const clock = { nowS: () => Date.now() / 1000 };
  const counters = new Counters();
  const limits = limitsWith(other);
  const waiting = new MemoryReadings();
  const inbox = await GroupInbox.open({ store, waiting, clock, counters, limits });
  const reader = new PackReader({ wells: ['ridge-house'], clock, counters, limits });
  const broker = new OwnBroker({ reader, host: '127.0.0.1', port: 0 });
  const readings = new HttpReadings(reader);
  const front = await httpFront(readings);
  await broker.open(inbox);
  await readings.open(inbox);
  return {
    counters,
    mqttPort: broker.port,
    httpPort: front.port,
    close: async () => {
      await front.close();
      await broker.close();
      await readings.close();
      await inbox.close();
    },
  };
}
