import type { FastifyInstance } from 'fastify';
import { answers, LIVES, READY } from '../answers.ts';
import type { Served } from '../served.ts';

/** Whether the process lives, and whether it does what it is there for. */
export function routeHealth(api: FastifyInstance, served: Served): void {
  const health = { summary: 'The process lives', response: answers('Always', LIVES) };
  api.get('/health', { schema: health, config: { may: 'anyone' } }, () => ({ lives: true }));

  const readiness = {
    summary: 'Readings are taken, and every well is alive; or why not',
    response: {
      ...answers('It does', READY),
      503: {
        description: 'It does not',
        content: { 'application/json': { schema: READY } },
      },
    },
  };
  api.get('/readiness', { schema: readiness }, (_request, reply) => {
    const why = served.holds();
    const wells = served.wells.states().map(({ wellId, state, says }) => ({
      well: wellId,
      state,
      says,
    }));
    const ready = why === null && wells.every(({ state }) => state === 'alive');
    reply.code(ready ? 200 : 503);
    return { ready, takesReadings: why === null, why, wells };
  });
}
