import { UsageError } from '../usage.ts';
import type { Service } from './service.ts';

const EVERY_MS = 3_600_000;
/** What an analysis begun anew needs to know a well again, about. */
const LEAST_DAYS = 30;

/** How many days of raw readings stay, as a person gives it. */
export function keepDays(text: string, option: string): number {
  const days = /^\d{1,6}$/.test(text) ? Number(text) : 0;
  if (days >= LEAST_DAYS) return days;
  throw new UsageError(
    `${option}: expected days of raw readings to keep, ${LEAST_DAYS} or more, found "${text}"`,
  );
}

/**
 * Drops old raw readings as the options say, and says so before; the first time after an hour, so
 * that a number given wrongly can be taken back.
 */
export function dropEveryHour(service: Service): NodeJS.Timeout | undefined {
  const { keepRawDays, say } = service.options;
  if (keepRawDays === undefined) return undefined;
  const says =
    `all but the last ${keepRawDays} days of raw readings are dropped for good, the first in an ` +
    'hour; hourly summaries and records stay';
  say({ level: 'told', says });
  return setInterval(() => void dropOldRaw(service, keepRawDays), EVERY_MS);
}

/** Of wells whose analysis has taken all there is: what it has not read yet stays. */
export async function dropOldRaw(service: Service, days: number): Promise<void> {
  const { store, wells, options } = service;
  for (const { wellId, state } of wells.states()) {
    if (state !== 'alive' || wells.get(wellId)?.now().replay !== null) continue;
    try {
      const { beforeS, readings } = await store.oldRaw(wellId, days);
      if (readings === 0) continue;
      await store.dropRawBefore(wellId, beforeS);
      const day = new Date(beforeS * 1000).toISOString().slice(0, 10);
      const says = `${readings} raw readings of before ${day} were dropped, as --keep-raw asks`;
      options.say({ level: 'told', well: wellId, says });
    } catch (error) {
      options.say({ level: 'trouble', well: wellId, says: (error as Error).message });
    }
  }
}
