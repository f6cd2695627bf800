import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import { CHANNELS } from '../../model/reading.ts';
import { answers, STRETCHES } from '../answers.ts';
import { instant, OF_WELL, type OfWell, SPAN, spanS, Turns, wellOf } from '../ask.ts';
import { SERVER_LIMITS } from '../limits.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';
import { stretchesOf } from '../stretches.ts';

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
  'where a stretch has none; without a span over all that is kept. At most so many `stretches` ' +
  'as asked for. Where they would be longer than an hour each is a whole number of hours and ' +
  'begins with a full hour (UTC), so the first may begin before `from` and the last end after ' +
  '`to`: `from`, `to` and `stretchS` of the answer say what was counted.';

/** Readings for a chart: a year as quickly as a day. */
export function routeStretches(api: FastifyInstance, served: Served): void {
  const turns = new Turns(served);
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
      const toS = query.to === undefined ? Math.ceil(kept.lastS + 1) : asked.toS;
      const firstS =
        query.from === undefined ? Math.min(Math.floor(kept.firstS), toS - 1) : asked.fromS;
      const lastS = Math.max(toS, firstS + 1);
      const span = stretchesOf({ fromS: firstS, toS: lastS }, query.stretches ?? 1500);
      const found = await served.store.buckets(well, query.channel, span);
      const stretches = found.map(({ fromS, ...rest }) => ({ from: instant(fromS), ...rest }));
      return {
        channel: query.channel,
        from: instant(span.fromS),
        to: instant(span.toS),
        stretchS: (span.toS - span.fromS) / span.count,
        stretches,
      };
    },
  );
}
