import type { FastifyInstance } from 'fastify';
import Type, { type Static, type TObject } from 'typebox';
import { type AlarmKeeper, AlarmRefusal } from '../../alarms/alarm-keeper.ts';
import { shownAlarm } from '../../alarms/shown.ts';
import type { DeclaredService } from '../../model/alarm.ts';
import {
  ALARM,
  ALARM_RECORD,
  ALARMS,
  DECLARED,
  ENDED,
  shownQuiet,
  TESTED,
} from '../alarm-answers.ts';
import { answers } from '../answers.ts';
import { BY, instant, OF_WELL, type OfWell, oneLine, SPAN, spanS, wellOf } from '../ask.ts';
import { takeJson } from '../json-body.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';

const HOURS = Type.Number({ exclusiveMinimum: 0, maximum: 720 });
const WHO = Type.Object({ by: BY }, { additionalProperties: false });
const TEST = Type.Object(
  { by: BY, receiver: Type.Optional(oneLine(32, 'its name; without it, all')) },
  { additionalProperties: false },
);
const SHELF = Type.Object({ by: BY, hours: HOURS }, { additionalProperties: false });
const SERVICE = Type.Object(
  {
    by: BY,
    did: oneLine(200, 'what is done'),
    hours: Type.Optional(HOURS),
  },
  { additionalProperties: false },
);
const OF_ALARM = Type.Object({
  well: OF_WELL.properties.well,
  alarm: Type.String({ maxLength: 32, description: 'id of the alarm' }),
});
const RECORD = Type.Object(
  { ...SPAN, most: Type.Optional(Type.Integer({ minimum: 1 })) },
  { additionalProperties: false },
);

const STANDING =
  '{ standing, over, service, receivers }: alarms with cause, consequence, time to act, action, ' +
  'cautions; those over lately; the declared service, or null; who is told. docs/alarms.md says ' +
  'what the states mean';

/** Alarms of a well, and what a keeper does about them. */
export function routeAlarms(api: FastifyInstance, served: Served): void {
  api.register(async (own) => {
    takeJson(own, served.limits);
    routeShown(own, served);
    routeActs(own, served);
    routeService(own, served);
  });
}

function keeperOf(served: Served, of: OfWell): AlarmKeeper {
  const id = wellOf(served, of);
  const keeper = served.alarms(id);
  if (keeper !== null) return keeper;
  throw new Refusal('no-analysis', `${id} has no well file that can be used`);
}

/** What a keeper's wish comes to; one that cannot be met is a refusal. */
async function acting<T>(keeper: AlarmKeeper, act: () => T | Promise<T>): Promise<T> {
  try {
    const done = await act();
    await keeper.written();
    return done;
  } catch (error) {
    if (error instanceof AlarmRefusal) throw new Refusal(error.code, error.message);
    throw error;
  }
}

function routeShown(api: FastifyInstance, served: Served): void {
  const schema = {
    summary: 'Alarms that stand',
    params: OF_WELL,
    response: answers(STANDING, ALARMS),
  };
  api.get<{ Params: OfWell }>('/wells/:well/alarms', { schema }, ({ params }) => {
    const { alarms, service, receivers } = keeperOf(served, params);
    const shown = alarms.map(shownAlarm);
    return {
      standing: shown.filter(({ state }) => state !== 'normal'),
      over: shown.filter(({ state }) => state === 'normal'),
      service: service && shownService(service),
      receivers: receivers.map(({ name, way, from, quiet }) => ({
        ...{ name, way, from },
        quiet: quiet && shownQuiet(quiet),
      })),
    };
  });

  const record = {
    summary: 'The record of alarms, which only grows: by arrival',
    params: OF_WELL,
    querystring: RECORD,
    response: answers(
      '{ entries: [{ at, what, … }], next }: `next` is the `from` of the rest',
      ALARM_RECORD,
    ),
  };
  api.get<{ Params: OfWell; Querystring: Static<typeof RECORD> }>(
    '/wells/:well/alarm-record',
    { schema: record },
    async ({ params, query }) => {
      const { fromS, toS } = spanS(query);
      const most = Math.min(query.most ?? Infinity, served.limits.records);
      const all = await served.store.records(wellOf(served, params), 'alarm', fromS, toS);
      const entries = all.slice(0, most).map(({ atS, body }) => ({
        at: instant(atS),
        ...(body as object),
      }));
      return { entries, next: all.length > most ? instant(all[most]!.atS) : null };
    },
  );
}

function routeActs(api: FastifyInstance, served: Served): void {
  const add = <T extends TObject>(
    name: string,
    summary: string,
    body: T,
    act: (
      keeper: AlarmKeeper,
      alarm: string,
      asked: Static<T>,
    ) => ReturnType<AlarmKeeper['shelve']>,
  ) => {
    const schema = {
      summary,
      params: OF_ALARM,
      body,
      response: answers('the alarm as it is now', ALARM),
    };
    api.post<{ Params: Static<typeof OF_ALARM>; Body: Static<T> }>(
      `/wells/:well/alarms/:alarm/${name}`,
      { schema },
      ({ params, body: asked }) => {
        const keeper = keeperOf(served, params);
        return acting(keeper, () => shownAlarm(act(keeper, params.alarm, asked as Static<T>)));
      },
    );
  };
  add('acknowledge', 'Somebody has seen it', WHO, (keeper, id, { by }) =>
    keeper.acknowledge(id, by),
  );
  add('shelve', 'Not told for so many hours; it comes back by itself', SHELF, (keeper, id, asked) =>
    keeper.shelve(id, asked.by, asked.hours * 3600),
  );
  add('unshelve', 'Told again', WHO, (keeper, id, { by }) => keeper.unshelve(id, by));
}

function routeService(api: FastifyInstance, served: Served): void {
  const declared = {
    summary: 'Work on the well: nothing new is told until it ends, by itself at the latest',
    params: OF_WELL,
    body: SERVICE,
    response: answers('{ did, by, from, until }', DECLARED),
  };
  api.post<{ Params: OfWell; Body: Static<typeof SERVICE> }>(
    '/wells/:well/service',
    { schema: declared },
    ({ params, body: { did, by, hours } }) => {
      const keeper = keeperOf(served, params);
      const forS = hours === undefined ? undefined : hours * 3600;
      return acting(keeper, () => shownService(keeper.declareService(did, by, forS)));
    },
  );
  const ended = {
    summary: 'The work is done: what stands is told',
    params: OF_WELL,
    body: WHO,
    response: answers('{ ended: true }', ENDED),
  };
  api.post<{ Params: OfWell; Body: Static<typeof WHO> }>(
    '/wells/:well/service/end',
    { schema: ended },
    ({ params, body: { by } }) => {
      const keeper = keeperOf(served, params);
      return acting(keeper, () => {
        keeper.endService(by);
        return { ended: true };
      });
    },
  );
  const test = {
    summary: 'Sends a test to every receiver, or to one',
    params: OF_WELL,
    body: TEST,
    response: answers('{ told: [{ receiver, says }] }: `says` is null where it was taken', TESTED),
  };
  api.post<{ Params: OfWell; Body: Static<typeof TEST> }>(
    '/wells/:well/alarms/test',
    { schema: test },
    ({ params, body: { by, receiver } }) => {
      const keeper = keeperOf(served, params);
      return acting(keeper, async () => ({ told: await keeper.test(by, receiver) }));
    },
  );
}

const shownService = ({ did, by, fromS, untilS }: DeclaredService) => ({
  did,
  by,
  from: instant(fromS),
  until: instant(untilS),
});
