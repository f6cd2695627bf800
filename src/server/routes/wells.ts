import type { FastifyInstance } from 'fastify';
import { answers, WELLS } from '../answers.ts';
import { instant } from '../ask.ts';
import type { Served } from '../served.ts';

const SAYS =
  'All wells: how each fares (alive, failed with what its analysis threw, or no-well-file), how ' +
  'many readings are kept, and of when.';

export function routeWells(api: FastifyInstance, { wells, names, store }: Served): void {
  const schema = { summary: 'Wells, and how each fares', response: answers(SAYS, WELLS) };
  api.get('/wells', { schema }, async () => {
    const kept = new Map((await store.wells()).map((one) => [one.wellId, one]));
    const states = wells.states().map(({ wellId, state, says, failures, keptReadings }) => {
      const has = kept.get(wellId);
      return {
        well: wellId,
        // As the file in force has it, which may have been edited since the start.
        name: wells.get(wellId)?.well.name ?? names.get(wellId) ?? null,
        state,
        says,
        failures,
        readings: has?.readings ?? 0,
        readingsSinceStart: keptReadings,
        first: has === undefined ? null : instant(has.firstS),
        last: has === undefined ? null : instant(has.lastS),
      };
    });
    return { wells: states };
  });
}
