import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import { answers, COUNTERS, LATEST_REFUSED } from '../answers.ts';
import { instant, OF_WELL, type OfWell, wellOf } from '../ask.ts';
import { SERVER_LIMITS } from '../limits.ts';
import type { Served } from '../served.ts';

const ASKED = Type.Object(
  { most: Type.Optional(Type.Integer({ minimum: 1, maximum: SERVER_LIMITS.refusedShown })) },
  { additionalProperties: false },
);

/** What came in, what was of no use, and which bounds bit. */
export function routeCounters(api: FastifyInstance, served: Served): void {
  const { feed, names, store } = served;
  const schema = {
    summary: 'Counters of the intake and of this interface since the start, and of each well ever',
    response: answers('docs/limits.md says what each means; what is 0 may be left out', COUNTERS),
  };
  api.get('/counters', { schema }, async () => {
    const wells: Record<string, unknown> = {};
    for (const id of names.keys()) wells[id] = await store.counters(id);
    return {
      sinceStart: {
        ...served.counters(),
        ...served.counts.all(),
        ...feed.counts,
        listening: feed.listening,
      },
      wells,
    };
  });

  const refused = {
    summary: 'The latest records of a well that were of no use, newest first',
    params: OF_WELL,
    querystring: ASKED,
    response: answers('docs/errors.md says what each code means', LATEST_REFUSED),
  };
  api.get<{ Params: OfWell; Querystring: Static<typeof ASKED> }>(
    '/wells/:well/refused',
    { schema: refused },
    async ({ params, query }) => {
      const latest = await store.refused(wellOf(served, params), query.most ?? 100);
      return {
        refused: latest.map(({ arrivedS, ...one }) => ({ arrived: instant(arrivedS), ...one })),
      };
    },
  );
}
