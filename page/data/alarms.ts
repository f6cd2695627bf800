import type { ShownAlarm } from '../../src/alarms/shown.ts';
import type { AlarmEntry } from '../../src/model/alarm.ts';
import { ask, instant, ofWell, tell } from './api.ts';

export interface Declared {
  did: string;
  by: string;
  from: string;
  until: string;
}

/** What stands, what is over lately, and the work on the well that is declared. */
export interface Alarms {
  standing: ShownAlarm[];
  over: ShownAlarm[];
  service: Declared | null;
}

export const askAlarms = async (wellId: string): Promise<Alarms> =>
  (await ask<Alarms>(ofWell(wellId, 'alarms'))).body;

export const declareWork = (
  wellId: string,
  asked: { by: string; did: string; hours: number },
): Promise<Declared> => tell(ofWell(wellId, 'service'), asked);

export const endWork = (wellId: string, by: string): Promise<unknown> =>
  tell(ofWell(wellId, 'service/end'), { by });

export type Act = 'acknowledge' | 'shelve' | 'unshelve';

/** What a keeper does about an alarm; the alarm as it is then. */
export const act = (
  of: { wellId: string; alarm: string },
  what: Act,
  asked: { by: string; hours?: number },
): Promise<ShownAlarm> => tell(ofWell(of.wellId, `alarms/${of.alarm}/${what}`), asked);

/** What became of a test to a receiver: null where it was taken, else why not. */
export interface Receipt {
  receiver: string;
  says: string | null;
}

export const sendTests = async (wellId: string, by: string): Promise<Receipt[]> =>
  (await tell<{ told: Receipt[] }>(ofWell(wellId, 'alarms/test'), { by })).told;

export type Entry = AlarmEntry & { at: string };

/** Entries of the record of alarms in a span, page after page, by time. */
export async function askEntries(wellId: string, fromS: number, toS: number): Promise<Entry[]> {
  const all: Entry[] = [];
  const to = instant(toS);
  let from = instant(fromS);
  for (;;) {
    const { body } = await ask<{ entries: Entry[]; next: string | null }>(
      ofWell(wellId, 'alarm-record', { from, to }),
    );
    all.push(...body.entries);
    if (body.next === null) return all;
    from = body.next;
  }
}
