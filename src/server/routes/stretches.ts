import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import { CHANNELS } from '../../model/reading.ts';
import { answers, STRETCHES } from '../answers.ts';
import { instant, OF_WELL, type OfWell, SPAN, spanS, Turns, wellOf } from '../ask.ts';
import { SERVER_LIMITS } from '../limits.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';

const ASKED = Type.Object(
  {
    ...SPAN,
    channel: Type.Enum([...CHANNELS]),
    stretches: Type.Optional(
      Type.Integer({ minimum: 1, maximum: SERVER_LIMITS.stretches, default: 1500 }),
    ),
  },
  { additionalProperties: false },
);

const SAYS =
  'Least, greatest and mean of the readings of a channel in stretches of equal length, null ' +
  'where a stretch has none; without a span over all that is kept.';

/** Readings for a chart: a year as quickly as a day. */
export function routeStretches(api: FastifyInstance, served: Served): void {
  const turns = new Turns(served.limits.longAnswers);
  const summary = 'Readings in stretches of equal length';
  const schema = {
    summary,
    params: OF_WELL,
    querystring: ASKED,
    response: answers(SAYS, STRETCHES),
  };
  api.get<{ Params: OfWell; Querystring: Static<typeof ASKED> }>(
    '/wells/:well/readings',
    { schema },
    async ({ params, query }, reply) => {
      const well = wellOf(served, params);
      const asked = spanS(query);
      const kept = (await served.store.wells()).find(({ wellId }) => wellId === well);
      if (kept === undefined) throw new Refusal('no-readings', `none of ${well}`);
      turns.take(reply);
      const fromS = query.from === undefined ? Math.floor(kept.firstS) : asked.fromS;
      const toS =
        query.to === undefined ? Math.max(Math.ceil(kept.lastS + 1), fromS + 1) : asked.toS;
      const count = query.stretches ?? 1500;
      const found = await served.store.buckets(well, query.channel, { fromS, toS, count });
      const stretches = found.map(({ fromS: atS, ...rest }) => ({ from: instant(atS), ...rest }));
      return { channel: query.channel, from: instant(fromS), to: instant(toS), stretches };
    },
  );
}
