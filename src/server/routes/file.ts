import type { FastifyInstance } from 'fastify';
import { answers, WELL_FILE } from '../answers.ts';
import { livingOf, OF_WELL, type OfWell, wellOf } from '../ask.ts';
import type { Served } from '../served.ts';

const SAYS =
  'The well file in force: quantities in SI with their standard uncertainty and source, null ' +
  'where nothing is told (docs/formats/well-file.md).';

/** What is known of a well before its first reading. */
export function routeFile(api: FastifyInstance, served: Served): void {
  const schema = {
    summary: 'The well file in force',
    params: OF_WELL,
    response: answers(SAYS, WELL_FILE),
  };
  api.get<{ Params: OfWell }>('/wells/:well/file', { schema }, async ({ params }) => {
    return livingOf(served, wellOf(served, params)).well;
  });
}
