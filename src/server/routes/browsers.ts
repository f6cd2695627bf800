import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import { answers, orNull } from '../answers.ts';
import { BY } from '../ask.ts';
import { Refusal } from '../problems.ts';
import type { BrowserList, Served } from '../served.ts';

const ENDPOINT = Type.String({ minLength: 1, maxLength: 1024, description: 'its push service' });
const KEY = Type.String({ minLength: 1, maxLength: 128 });
const JOIN = Type.Object(
  {
    by: BY,
    subscription: Type.Object({
      endpoint: ENDPOINT,
      keys: Type.Object({ p256dh: KEY, auth: KEY }),
    }),
  },
  { additionalProperties: false },
);
const LEAVE = Type.Object({ endpoint: ENDPOINT }, { additionalProperties: false });

const KEY_OF_SERVICE = Type.Object({
  key: orNull(Type.String({ description: 'public key on P-256, uncompressed, base64url' })),
});
const JOINED = Type.Object({ receiver: Type.String({ description: 'the name it is told by' }) });
const LEFT = Type.Object({ forgotten: Type.Boolean({ description: 'it was told before' }) });

/** Browsers that are told of alarms because somebody pressed for it (RFC 8030, RFC 8292). */
export function routeBrowsers(api: FastifyInstance, served: Served): void {
  const key = {
    summary: 'The key with which a browser subscribes to be told of alarms',
    response: answers('null where the alarm file has no [browsers]', KEY_OF_SERVICE),
  };
  api.get('/browsers', { schema: key }, () => ({ key: served.browsers()?.key ?? null }));

  const join = {
    summary: 'Tells a browser of alarms from now on',
    body: JOIN,
    response: answers('{ receiver }', JOINED),
  };
  api.post<{ Body: Static<typeof JOIN> }>('/browsers', { schema: join }, async ({ body }) => {
    const { by, subscription } = body;
    const receiver = await listOf(served)
      .subscribe(by, subscription)
      .catch((error: Error) => {
        throw new Refusal('not-possible', error.message);
      });
    return { receiver };
  });

  const leave = {
    summary: 'Tells a browser no more',
    body: LEAVE,
    response: answers('{ forgotten }', LEFT),
  };
  api.post<{ Body: Static<typeof LEAVE> }>(
    '/browsers/forget',
    { schema: leave },
    async ({ body }) => ({ forgotten: await listOf(served).forget(body.endpoint) }),
  );
}

function listOf(served: Served): BrowserList {
  const list = served.browsers();
  if (list !== null) return list;
  throw new Refusal('not-possible', 'expected [browsers] in the alarm file, found none');
}
