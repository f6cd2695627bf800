import { unwatchFile, watchFile } from 'node:fs';
import { AccessError } from '../../access/access-error.ts';
import { StoreDamaged, StoreRefuses } from '../../ports/reading-store.ts';
import { StoreFileError } from '../../store/sqlite/schema.ts';
import { UsageError } from '../usage.ts';
import { greeting } from './greeting.ts';
import { Service, type ServiceOptions } from './service.ts';

/** After this a stop that hangs is given up; a service manager would not wait much longer. */
const STOPS_WITHIN_MS = 9000;
const LOOK_AT_FILES_MS = 2000;
const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

/** Goes on while the service runs, and ends with the signal. */
type Beside = (service: Service, signal: AbortSignal) => Promise<void>;

/**
 * Runs the service until it is told to stop; returns the exit code. A signal that comes
 * twice, from a terminal and from the launcher, is one.
 */
export async function runService(
  options: ServiceOptions,
  beside: Beside = async () => undefined,
): Promise<number> {
  const stop = new AbortController();
  const onSignal = () => stop.abort();
  for (const signal of SIGNALS) process.on(signal, onSignal);
  try {
    return await runUntil(stop.signal, await opened(options), beside);
  } finally {
    for (const signal of SIGNALS) process.off(signal, onSignal);
  }
}

async function runUntil(stop: AbortSignal, service: Service, beside: Beside): Promise<number> {
  const { options } = service;
  process.stdout.write(greeting(service));
  const { http, mqtt } = service.ports;
  options.say({ level: 'told', says: `up: HTTP port ${http}, MQTT port ${mqtt ?? 'none'}` });
  const { broken = [] } = options;
  for (const { file, well } of options.wells) followFile(service, file, well.id);
  for (const { file, id } of broken) followFile(service, file, id);
  service.onAdded = ({ file, well }) => followFile(service, file, well.id);
  const aside = beside(service, stop).catch((error: unknown) => {
    options.say({ level: 'trouble', says: error instanceof Error ? error.message : String(error) });
  });
  await new Promise<void>((resolve) => {
    if (stop.aborted) resolve();
    else stop.addEventListener('abort', () => resolve());
  });
  options.say({ level: 'told', says: 'stops: what is under way is kept first' });
  setTimeout(() => process.exit(1), STOPS_WITHIN_MS).unref();
  for (const { file } of [...options.wells, ...broken]) unwatchFile(file);
  await aside;
  await service.close();
  options.say({ level: 'told', says: 'stopped' });
  return 0;
}

/** What a person can mend is an error of usage. */
async function opened(options: ServiceOptions): Promise<Service> {
  try {
    return await Service.open(options);
  } catch (error) {
    if (error instanceof StoreFileError || error instanceof AccessError)
      throw new UsageError(error.message);
    if (error instanceof StoreRefuses || error instanceof StoreDamaged)
      throw new UsageError(`${options.store}: ${error.message}`);
    throw error;
  }
}

/** An edited well file holds at once; one that cannot be used leaves the last one in force. */
function followFile(service: Service, file: string, wellId: string): void {
  const { say } = service.options;
  watchFile(file, { interval: LOOK_AT_FILES_MS, persistent: false }, async (now, before) => {
    if (now.mtimeMs === before.mtimeMs) return;
    await service
      .book(wellId)
      ?.noticed()
      .catch((error: Error) => {
        const lives = service.wells.get(wellId) !== null;
        const then = lives ? 'the file read before stays in force' : 'the well waits for it';
        say({ level: 'trouble', well: wellId, says: `${error.message}; ${then}` });
      });
  });
}
