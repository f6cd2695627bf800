import type { FastifyInstance } from 'fastify';
import { answers, NOW } from '../answers.ts';
import { livingOf, OF_WELL, type OfWell, wellOf } from '../ask.ts';
import type { Served } from '../served.ts';

const SAYS =
  'Pressure, current, pump, flow, the day so far, open findings, silence; what cannot be known ' +
  'is null, with its reason in `unknown`. `at` is up to where the readings are analysed.';

export function routeNow(api: FastifyInstance, served: Served): void {
  const schema = {
    summary: 'How a well stands now',
    params: OF_WELL,
    response: answers(SAYS, NOW),
  };
  api.get<{ Params: OfWell }>('/wells/:well/now', { schema }, async ({ params }) => {
    return livingOf(served, wellOf(served, params)).now();
  });
}
