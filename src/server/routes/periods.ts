import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import type { DayAlive } from '../../living/day-runs.ts';
import { PERIODS, periodsOf } from '../../living/periods.ts';
import { answers } from '../answers.ts';
import { OF_WELL, type OfWell, SPAN, spanS, Turns, wellOf } from '../ask.ts';
import { RECORD_SCHEMAS } from '../documents.ts';
import type { Served } from '../served.ts';

const ASKED = Type.Object(
  { ...SPAN, by: Type.Optional(Type.Enum([...PERIODS])) },
  { additionalProperties: false },
);

const SAYS =
  'Days of a span put together, by month where nothing else is asked, by their first date in the ' +
  'calendar: amounts summed over the days that know them, the rest as its middle day. `days` ' +
  'have a record, `wholeDays` of them a whole one, of `ofDays` in the calendar. Weeks begin on ' +
  'Monday; a `day` stands by itself. Six digits, of a standard uncertainty three.';

const PERIOD = Type.Object({ periods: Type.Array(RECORD_SCHEMAS.periods) });

/** Days, weeks, months (where nothing is said) or years, in no more bytes than a chart needs. */
export function routePeriods(api: FastifyInstance, served: Served): void {
  const turns = new Turns(served);
  const schema = {
    summary: 'Days put together by day, week, month or year',
    params: OF_WELL,
    querystring: ASKED,
    response: answers(SAYS, PERIOD),
  };
  api.get<{ Params: OfWell; Querystring: Static<typeof ASKED> }>(
    '/wells/:well/periods',
    { schema },
    async ({ params, query }, reply) => {
      const well = wellOf(served, params);
      const { fromS, toS } = spanS(query);
      turns.take(reply);
      const days = await served.store.records(well, 'day', fromS, toS);
      const bodies = days.map(({ body }) => body as DayAlive);
      return { periods: periodsOf(bodies, query.by ?? 'month') };
    },
  );
}
