import { statSync } from 'node:fs';
import { Server as TlsServer } from 'node:https';
import { join } from 'node:path';
import type { Tls } from '../../access/access.ts';
import { causeOf } from '../../base/cause-of.ts';
import { LogSource } from '../../ingest/file/log-source.ts';
import { HttpReadings } from '../../ingest/http/http-readings.ts';
import { BrokerClient } from '../../ingest/mqtt/broker-client.ts';
import { OwnBroker } from '../../ingest/mqtt/own-broker.ts';
import { sheetPdf } from '../../paper/pdf.ts';
import { atmosphericPressurePa } from '../../physics/air/atmospheric-pressure.ts';
import type { ReadingSource } from '../../ports/reading-source.ts';
import { sheetHtml } from '../../report/contractor/html.ts';
import { studyText } from '../../report/study-text.ts';
import { ServerCounts } from '../../server/counts.ts';
import type { ContractorAsked } from '../../server/served.ts';
import { httpInterface } from '../../server/server.ts';
import { exportCsv, exportSenml } from '../../store/export.ts';
import { sheetFromService } from '../contractor/from-service.ts';
import { UsageError } from '../usage.ts';
import { isLoopback } from './loopback.ts';
import { makeWell } from './new-wells.ts';
import type { KeptWell, Service } from './service.ts';
import { takeAway } from './take-away.ts';

/** Beside the compiled program, whether that runs or its source. */
const PAGE = join(import.meta.dirname, '..', '..', '..', 'dist', 'page');

export interface Sources {
  ports: { http: number; mqtt: number | null; plainMqtt: number | null };
  /** Tells whoever listens at our broker and at the other one. */
  publish(topic: string, payload: string, retain: boolean): void;
  /** Nothing more comes in; resolves once what came is acknowledged or given up. */
  close(): Promise<void>;
}

/** All ways in, and the answers out; on an error those already open are closed again. */
export async function openSources(service: Service): Promise<Sources> {
  const open: { close(): Promise<unknown> }[] = [];
  const close = async () => {
    await Promise.all(open.splice(0).map((one) => one.close()));
  };
  try {
    const brokers: (OwnBroker | BrokerClient)[] = [];
    const { access } = service;
    const { mqtt, plainMqtt } = service.options;
    const own = await ownBroker(service, mqtt, access?.tls ?? null);
    if (own !== null) open.push(brokers[brokers.push(own) - 1]!);
    access?.onTls((tls) => own?.renew(tls));
    const plain = await ownBroker(service, plainMqtt ?? null, null);
    if (plain !== null) open.push(brokers[brokers.push(plain) - 1]!);
    const http = await openHttp(service, open);
    const other = await otherBroker(service);
    if (other !== null) open.push(brokers[brokers.push(other) - 1]!);
    for (const well of service.options.wells) open.push(...(await history(service, well)));
    const publish = (topic: string, payload: string, retain: boolean) => {
      for (const broker of brokers)
        broker.publish(topic, payload, retain).catch((error: unknown) => {
          service.options.say({ level: 'trouble', says: `${topic}: ${causeOf(error)}` });
        });
    };
    const ports = { http, mqtt: own?.port ?? null, plainMqtt: plain?.port ?? null };
    return { ports, publish, close };
  } catch (error) {
    await close();
    throw error;
  }
}

/** Listens at the port asked for, or at a free one where it is taken and that will do. */
async function listen<T>(
  { options }: Service,
  what: { name: 'http' | 'mqtt'; port: number },
  at: (port: number) => Promise<T>,
): Promise<T> {
  const { name, port } = what;
  try {
    return await at(port);
  } catch (error) {
    const isTaken = (error as NodeJS.ErrnoException).code === 'EADDRINUSE';
    if (!isTaken || !options.orFree) {
      const found = isTaken ? 'another program there' : causeOf(error);
      const where = `${options.host} port ${port}`;
      throw new UsageError(`${where}: expected to listen, found ${found}; give --${name} <port>`);
    }
    options.say({ level: 'told', says: `port ${port} is taken: another one is used` });
    return at(0);
  }
}

async function ownBroker(
  service: Service,
  asked: number | null,
  tls: Tls | null,
): Promise<OwnBroker | null> {
  const { reader, options, inbox } = service;
  if (asked === null) return null;
  const say = (says: string) => options.say({ level: 'told', says });
  return listen(service, { name: 'mqtt', port: asked }, async (port) => {
    const { host, topics: plainTopics } = options;
    const gate = service.access;
    const broker = new OwnBroker({ reader, host, port, plainTopics, gate, tls, say });
    try {
      await broker.open(inbox);
      return broker;
    } catch (error) {
      await broker.close();
      throw error;
    }
  });
}

async function otherBroker(service: Service): Promise<BrokerClient | null> {
  const { reader, options, inbox } = service;
  if (options.broker === null) return null;
  const { url, credentials } = options.broker;
  const client = new BrokerClient({
    reader,
    url,
    clientId: `wellwright-${options.wells[0]?.well.id ?? 'new'}`,
    ...(credentials && { credentials }),
    plainTopics: options.topics,
    say: (says) => options.say({ level: 'told', says }),
  });
  await client.open(inbox);
  return client;
}

function contractorPages(service: Service) {
  const { store, clock } = service;
  const sheet = (asked: ContractorAsked) =>
    sheetFromService(
      { ...asked, nowS: clock.nowS() },
      { store, book: service.book(asked.well.id) },
    );
  return {
    html: async (asked: ContractorAsked) => sheetHtml(await sheet(asked)),
    pdf: async (asked: ContractorAsked) => sheetPdf(await sheet(asked)),
  };
}

function waysIn({ ports: { mqtt, plainMqtt }, options }: Service) {
  return { mqttPort: mqtt, plainMqttPort: plainMqtt, isLocal: isLoopback(options.host) };
}

async function openHttp(service: Service, open: { close(): Promise<unknown> }[]): Promise<number> {
  const { reader, options, inbox, store, wells, feed, limits, counters, clock, access } = service;
  const readings: HttpReadings & ReadingSource = new HttpReadings(reader);
  await readings.open(inbox);
  const app = await httpInterface({
    ...{ store, wells, feed, limits, clock, gate: access, tls: access?.tls ?? null },
    names: service.names,
    alarms: (wellId) => service.alarms.get(wellId),
    push: service.alarms.subscriptions,
    book: (wellId) => service.book(wellId),
    guided: service.guided,
    gauges: service.gauges,
    makeWell: (made) => makeWell(service, made),
    waysIn: () => waysIn(service),
    counters: () => counters.all(),
    backup: () => takeAway(options.store),
    storeBytes: () => bytesOf(options.store) + bytesOf(`${options.store}-wal`),
    counts: new ServerCounts(),
    take: (request) => readings.handle(request),
    logs: {
      csv: (span) => exportCsv(store, span),
      senml: (span) => exportSenml(store, span),
    },
    textOf: (study, well) => studyText(study, well),
    contractorPages: contractorPages(service),
    holds: () => service.holds,
    hostNames: options.names ?? [],
    page: PAGE,
    say: (says) => options.say({ level: 'trouble', says }),
  });
  const { server } = app;
  if (server instanceof TlsServer) access?.onTls((tls) => server.setSecureContext(tls));
  open.push({
    close: async () => {
      await readings.close();
      await app.close();
    },
  });
  await listen(service, { name: 'http', port: options.http }, (port) =>
    app.listen({ host: options.host, port }),
  );
  return (app.server.address() as { port: number }).port;
}

/** Of a file; 0 where there is none. */
const bytesOf = (file: string): number => statSync(file, { throwIfNoEntry: false })?.size ?? 0;

/** Logs of the past, handed in as they are. */
async function history(service: Service, kept: KeptWell): Promise<LogSource[]> {
  const { clock, counters, options, inbox, store, wells } = service;
  const { well, history: paths } = kept;
  if (paths.length === 0) return [];
  const { timeZone, altitudeM, logging } = well;
  const log = {
    ...{ timeZone, columns: logging.columns },
    atmospherePa: atmosphericPressurePa(altitudeM.value),
  };
  const source = new LogSource({ paths, wellId: well.id, device: '', log, clock, counters });
  const isNew = !(await store.wells()).some(({ wellId }) => wellId === well.id);
  if (isNew) wells.holdUntil(well.id, source.done);
  await source.open(inbox);
  source.done.then(
    ({ accepted, duplicate, report }) => {
      const aside = report.setAside.reduce((sum, { count }) => sum + count, 0);
      const says =
        `history is in: ${accepted} readings new, ${duplicate} known before, ` +
        `${aside} set aside`;
      options.say({ level: 'told', well: well.id, says });
    },
    (error: Error) => options.say({ level: 'trouble', well: well.id, says: error.message }),
  );
  return [source];
}
