import { useEffect, useRef, useState } from 'preact/hooks';
import type { LivingEvent } from '../../src/living/events.ts';
import type { Reminder } from '../../src/model/book.ts';
import type { Well } from '../../src/model/well.ts';
import type { WellNow } from '../../src/model/well-now.ts';
import { type Answer, ask, ofWell } from './api.ts';
import { type Link, listen } from './link.ts';
import type { Listed } from './listed.ts';

/** All that goes on by itself. */
export interface Live {
  wells: Listed[] | null;
  now: ReadonlyMap<string, WellNow>;
  files: ReadonlyMap<string, Well>;
  /** What comes round every year at each. */
  reminders: ReadonlyMap<string, readonly Reminder[]>;
  link: Link;
  /** When what is shown was true, where it comes from what this browser kept. */
  keptAt: string | null;
  /** Rises when records of any well have changed. */
  revision: number;
  /** Rises when readings of the past may have changed. */
  restated: number;
  /** Rises when alarms of any well have changed. */
  alarmed: number;
  failure: string | null;
}

const NOTHING: Live = {
  wells: null,
  now: new Map(),
  files: new Map(),
  reminders: new Map(),
  link: 'joining',
  keptAt: null,
  revision: 0,
  restated: 0,
  alarmed: 0,
  failure: null,
};
/** Changes of records come in bursts: what is shown is read anew once they are over. */
const SETTLES_MS = 1000;
/** So do those of an alarm that is raised, told and taken; somebody may wait for what he did. */
const ALARM_SETTLES_MS = 200;
/** What could not be read is read again after this. */
const AGAIN_MS = 3000;

/** How all wells stand, as it happens. */
export function useLive(): Live {
  const [live, setLive] = useState(NOTHING);
  const waiting = useRef<Record<string, ReturnType<typeof setTimeout>>>({});
  useEffect(() => {
    /** Does it once what comes in a burst is over. */
    const after = (ms: number, what: 'read' | 'revise' | 'alarm', then: () => void) => {
      clearTimeout(waiting.current[what]);
      waiting.current[what] = setTimeout(then, ms);
    };
    const change = (of: (before: Live) => Partial<Live>) =>
      setLive((before) => ({ ...before, ...of(before) }));
    const read = async () => {
      try {
        const part = await readAll();
        change(({ files }) => ({
          ...part,
          files: keptWhereAlike(files, part.files),
          failure: null,
        }));
      } catch (error) {
        change(() => ({ failure: error instanceof Error ? error.message : String(error) }));
        after(AGAIN_MS, 'read', () => void read());
      }
    };
    // Of a well file that was edited only its past tells, and of a well that failed its trouble.
    let anew = false;
    const revise = (kind?: LivingEvent['kind']) => {
      anew ||= kind === 'restated' || kind === 'book' || kind === 'trouble';
      after(SETTLES_MS, 'revise', () => {
        change(({ revision }) => ({ revision: revision + 1 }));
        if (anew) void read();
        anew = false;
      });
    };
    const alarm = () =>
      after(ALARM_SETTLES_MS, 'alarm', () => change(({ alarmed }) => ({ alarmed: alarmed + 1 })));
    void read();
    const end = listen({
      onLink: (link) => change(() => ({ link })),
      onGap: () => {
        void read();
        change(({ restated }) => ({ restated: restated + 1 }));
        revise();
        alarm();
      },
      onEvent: (event) => {
        if (event.kind === 'now')
          change(({ now }) => ({
            now: new Map(now).set(event.well, event.now),
            keptAt: null,
          }));
        else if (event.kind === 'alarm') alarm();
        else {
          if (event.kind === 'restated') change(({ restated }) => ({ restated: restated + 1 }));
          revise(event.kind);
        }
      },
    });
    return () => {
      end();
      for (const timer of Object.values(waiting.current)) clearTimeout(timer);
    };
  }, []);
  return live;
}

/** What reads alike stays the same object, so that nothing drawn from it is drawn anew. */
function keptWhereAlike<T>(before: ReadonlyMap<string, T>, now: ReadonlyMap<string, T>) {
  return new Map(
    [...now].map(([id, one]): [string, T] => {
      const old = before.get(id);
      return [id, old !== undefined && JSON.stringify(old) === JSON.stringify(one) ? old : one];
    }),
  );
}

type Read = Pick<Live, 'wells' | 'now' | 'files' | 'reminders' | 'keptAt'>;

async function readAll(): Promise<Read> {
  const { body, keptAt } = await ask<{ wells: Listed[] }>('/wells');
  const alive = body.wells.filter(({ state }) => state !== 'no-well-file');
  const get = async <T>(what: string): Promise<[string, Answer<T>][]> =>
    Promise.all(alive.map(async ({ well }) => [well, await ask<T>(ofWell(well, what))]));
  const [files, now, due] = await Promise.all([
    get<Well>('file'),
    get<WellNow>('now'),
    get<{ reminders: Reminder[] }>('due'),
  ]);
  const bodies = <T>(of: [string, Answer<T>][]) => new Map(of.map(([id, one]) => [id, one.body]));
  const kept = [keptAt, ...now.map(([, one]) => one.keptAt)].filter((one) => one !== null);
  return {
    wells: body.wells,
    files: bodies(files),
    now: bodies(now),
    reminders: new Map(due.map(([id, one]) => [id, one.body.reminders])),
    keptAt: kept.sort()[0] ?? null,
  };
}
