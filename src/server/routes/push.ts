import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import type { QuietHours } from '../../model/alarm-settings.ts';
import { URGENCIES } from '../../model/study.ts';
import { type Subscriber, SubscriptionRefused } from '../../ports/push-desk.ts';
import { ENDED, QUIET, shownQuiet } from '../alarm-answers.ts';
import { answers, INSTANT, orNull } from '../answers.ts';
import { BY, instant } from '../ask.ts';
import { takeJson } from '../json-body.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';

const URGENCY = Type.Enum([...URGENCIES]);
const NAME = Type.String({ pattern: '^[a-z0-9-]{1,32}$', description: 'a name for the browser' });
const OF_BROWSER = Type.Object({ name: NAME });
const WHO = Type.Object({ by: BY }, { additionalProperties: false });
const ASKED = Type.Object(
  {
    by: BY,
    from: Type.Optional(URGENCY),
    quiet: Type.Optional(QUIET),
    subscription: Type.Object({}, { description: 'as the browser gives it' }),
  },
  { additionalProperties: false },
);
const SUBSCRIBER = Type.Object({
  name: Type.String(),
  from: URGENCY,
  quiet: orNull(QUIET),
  by: Type.String({ description: 'who asked' }),
  since: INSTANT,
});
const DESK = Type.Object({
  key: orNull(Type.String({ description: 'the key to subscribe with; null: nobody can' })),
  subscribers: Type.Array(SUBSCRIBER),
});

/** Browsers that ask to be told of alarms, and of it no more. */
export function routePush(api: FastifyInstance, served: Served): void {
  api.register(async (own) => {
    takeJson(own, served.limits);
    const shown = {
      summary: 'The key that a browser subscribes with, and those that have',
      response: answers('{ key, subscribers }', DESK),
    };
    own.get('/push', { schema: shown }, () => {
      const { key = null, subscribers = [] } = served.push ?? {};
      return { key, subscribers: subscribers.map(shownSubscriber) };
    });
    routeSubscribe(own, served);
    routeEnd(own, served);
  });
}

function deskOf({ push }: Served) {
  if (push !== null) return push;
  throw new Refusal('not-possible', 'expected [push] in the alarm file, found none');
}

function routeSubscribe(own: FastifyInstance, served: Served): void {
  const schema = {
    summary: 'A browser is told of alarms from now on',
    params: OF_BROWSER,
    body: ASKED,
    response: answers('the browser as it is told', SUBSCRIBER),
  };
  own.post<{ Params: Static<typeof OF_BROWSER>; Body: Static<typeof ASKED> }>(
    '/push/:name',
    { schema },
    async ({ params: { name }, body: { by, from, quiet, subscription } }) => {
      const desk = deskOf(served);
      const asked = { name, by, from: from ?? 'weeks', quiet: quietOf(quiet) } as const;
      await desk.add(asked, subscription).catch((error: unknown) => {
        if (error instanceof SubscriptionRefused) throw new Refusal('not-possible', error.message);
        throw error;
      });
      return shownSubscriber(desk.subscribers.find((one) => one.name === name)!);
    },
  );
}

function routeEnd(own: FastifyInstance, served: Served): void {
  const schema = {
    summary: 'A browser is told no more',
    params: OF_BROWSER,
    body: WHO,
    response: answers('{ ended: true }', ENDED),
  };
  own.post<{ Params: Static<typeof OF_BROWSER> }>(
    '/push/:name/end',
    { schema },
    async ({ params: { name } }) => {
      if (await deskOf(served).remove(name)) return { ended: true };
      throw new Refusal('not-possible', `expected a browser that subscribed, found "${name}"`);
    },
  );
}

function quietOf(quiet: readonly string[] | undefined): QuietHours | null {
  if (quiet === undefined) return null;
  const [fromS, toS] = quiet.map((clock) => {
    const [hours, minutes] = clock.split(':').map(Number);
    return hours! * 3600 + minutes! * 60;
  });
  if (fromS === toS) throw new Refusal('bad-request', 'expected quiet hours with a length');
  return { fromS: fromS!, toS: toS! };
}

const shownSubscriber = ({ quiet, sinceS, ...rest }: Subscriber) => ({
  ...rest,
  quiet: quiet && shownQuiet(quiet),
  since: instant(sinceS),
});
