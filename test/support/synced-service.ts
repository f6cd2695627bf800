/**
 * The way in before a store on disk, as a process of its own: `node synced-service.ts <file>`. Says
 * its ports in one line, and ends when its input does.
 */
import { Counters } from '../../src/ingest/counters.ts';
import { HttpReadings } from '../../src/ingest/http/http-readings.ts';
import { GroupInbox } from '../../src/ingest/inbox/inbox.ts';
import { limitsWith } from '../../src/ingest/limits.ts';
import { OwnBroker } from '../../src/ingest/mqtt/own-broker.ts';
import { PackReader } from '../../src/ingest/pack-reader.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { httpFront } from './http-front.ts';

const store = new SqliteStore(process.argv[2] ?? '');
const clock = { nowS: () => Date.now() / 1000 };
const [counters, limits] = [new Counters(), limitsWith()];
const inbox = await GroupInbox.open({ store, waiting: store, clock, counters, limits });
const reader = new PackReader({ wells: ['barn'], clock, counters, limits });
const broker = new OwnBroker({ reader, host: '127.0.0.1', port: 0 });
const readings = new HttpReadings(reader);
await broker.open(inbox);
await readings.open(inbox);
const front = await httpFront(readings);
process.stdout.write(`${JSON.stringify({ mqtt: broker.port, http: front.port })}\n`);
process.stdin.resume().on('end', async () => {
  await front.close();
  await broker.close();
  await inbox.close();
  await store.close();
});
