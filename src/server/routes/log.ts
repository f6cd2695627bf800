import { Readable } from 'node:stream';
import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import { answers, TEXT } from '../answers.ts';
import { OF_WELL, type OfWell, SPAN, spanS, Turns, wellOf } from '../ask.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';

const ASKED = Type.Object(SPAN, { additionalProperties: false });
const TYPES = { csv: 'text/csv; charset=utf-8', senml: 'application/senml+json' } as const;

/** Raw readings of a span as a recorded log, which `study` reads back to the same result. */
export function routeLog(api: FastifyInstance, served: Served): void {
  const turns = new Turns(served);
  for (const form of ['csv', 'senml'] as const) {
    const response = answers('Every reading, by time; docs/formats/logs.md', TEXT, TYPES[form]);
    const summary = `Readings of a span as a recorded log, ${form === 'csv' ? 'CSV' : 'SenML'}`;
    const schema = { summary, params: OF_WELL, querystring: ASKED, response };
    api.get<{ Params: OfWell; Querystring: Static<typeof ASKED> }>(
      `/wells/:well/log.${form}`,
      { schema },
      async ({ params, query }, reply) => {
        const wellId = wellOf(served, params);
        const span = spanS(query);
        turns.take(reply);
        const pieces = await begun(served.logs[form]({ wellId, ...span }));
        reply.header('content-type', TYPES[form]);
        reply.header('content-disposition', `attachment; filename="${wellId}.${form}"`);
        return reply.send(Readable.from(pieces));
      },
    );
  }
}

/** Up to its first piece: what keeps it from coming is told instead of it, not amid it. */
async function begun(pieces: AsyncIterable<string>): Promise<AsyncIterable<string>> {
  const rest = pieces[Symbol.asyncIterator]();
  const first = await rest.next().catch((error: unknown) => {
    if (error instanceof RangeError) throw new Refusal('bad-request', error.message);
    throw error;
  });
  return (async function* () {
    if (!first.done) yield first.value;
    yield* { [Symbol.asyncIterator]: () => rest };
  })();
}
