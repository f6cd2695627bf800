import { Readable } from 'node:stream';
import type { FastifyInstance } from 'fastify';
import { answers, HANDED_IN } from '../answers.ts';
import { OF_WELL, type OfWell } from '../ask.ts';
import type { Served } from '../served.ts';

const SAYS =
  '{ accepted, duplicate, refused: [{ index, code }] }, once all of it is durably kept: ' +
  'docs/formats/live-readings.md';

/** Readings of a device, SenML JSON; the intake reads the body itself and bounds it. */
export function routeReadings(api: FastifyInstance, served: Served): void {
  const summary = 'Take readings (application/senml+json)';
  const schema = { summary, params: OF_WELL, response: answers(SAYS, HANDED_IN) };
  const config = { may: 'device' } as const;
  api.post<{ Params: OfWell }>(
    '/wells/:well/readings',
    { schema, config },
    async (request, reply) => {
      const body = (request.body ?? Readable.from([])) as Readable;
      const wellId = request.params.well;
      const answer = await served.take({ wellId, headers: request.headers, body });
      return reply.code(answer.status).headers(answer.headers).send(answer.body);
    },
  );
}
