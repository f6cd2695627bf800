import type { FastifyInstance } from 'fastify';
import { answers } from '../ask.ts';
import type { Served } from '../served.ts';

/** Whether the process lives, and whether it does what it is there for. */
export function routeHealth(api: FastifyInstance, served: Served): void {
  const health = { summary: 'The process lives', response: answers('{ lives: true }') };
  api.get('/health', { schema: health }, () => ({ lives: true }));

  const readiness = {
    summary: 'Readings are taken, and every well is alive; or why not',
    response: {
      ...answers('{ ready: true, takesReadings: true, why: null, wells }'),
      503: { description: 'the same, with ready false and why' },
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
