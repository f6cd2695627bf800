import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import { networkOf } from '../../base/network-of.ts';
import { answers, TEXT } from '../answers.ts';
import { wellOf } from '../ask.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';

const ASKED = Type.Object(
  { well: Type.Optional(Type.String({ maxLength: 32, description: 'of this well only' })) },
  { additionalProperties: false },
);

const SAYS =
  'Server-sent events: now, run, day, finding, alarm, restated, please, clock, trouble; here, ' +
  'so often that a lost connection shows; and gap, after which whoever listens should read anew ' +
  'what it shows. `Last-Event-ID` gives what was missed.';

/** What happens, as it happens. */
export function routeEvents(api: FastifyInstance, served: Served): void {
  const schema = {
    summary: 'Events as they happen',
    querystring: ASKED,
    response: answers(SAYS, TEXT, 'text/event-stream'),
  };
  api.get<{ Querystring: Static<typeof ASKED> }>('/events', { schema }, async (request, reply) => {
    const { well } = request.query;
    const wellId = well === undefined ? null : wellOf(served, { well });
    if (!served.feed.hasRoom(networkOf(request.socket.remoteAddress ?? ''))) {
      const { listeners, listenersAnAddress } = served.limits;
      const most = `${listeners} listeners, ${listenersAnAddress} of one address`;
      throw new Refusal('busy', `expected at most ${most}`);
    }
    const lastId = request.headers['last-event-id'];
    const { who } = request;
    reply.hijack();
    served.feed.listen({
      ...{ response: reply.raw, wellId, holds: () => who.holds() },
      lastId: typeof lastId === 'string' ? lastId : null,
    });
    return reply;
  });
}
