import type { FastifyInstance, FastifyReply } from 'fastify';
import Type, { type Static } from 'typebox';
import type { Who } from '../../ports/gate.ts';
import { answers, SIGNED_OUT, WHO } from '../answers.ts';
import { COOKIE, tokenIn } from '../guard.ts';
import { takeJson } from '../json-body.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';

const ASKED = Type.Object(
  {
    name: Type.String({ minLength: 1, maxLength: 32 }),
    passphrase: Type.String({ minLength: 1, maxLength: 256 }),
  },
  { additionalProperties: false },
);
const NOTHING = Type.Object({}, { additionalProperties: false });

const config = { may: 'anyone' } as const;

/** Who asks, and a session for a browser. */
export function routeSignIn(api: FastifyInstance, served: Served): void {
  api.register(async (own) => {
    takeJson(own, served.limits);
    routeWho(own, served);
    routeIn(own, served);
    routeOut(own, served);
  });
}

function routeWho(api: FastifyInstance, { gate }: Served): void {
  const schema = {
    summary: 'Who asks, and whether one can sign in here',
    response: answers('`who` is null for nobody', WHO),
  };
  api.get('/who', { schema, config }, (request) => ({
    signIn: gate !== null,
    who: shown(request.who),
  }));
}

function routeIn(api: FastifyInstance, { gate }: Served): void {
  const schema = {
    summary: 'Sign in: a session in a cookie, by name and passphrase',
    body: ASKED,
    response: answers('who has signed in', WHO),
  };
  api.post<{ Body: Static<typeof ASKED> }>(
    '/sign-in',
    { schema, config },
    async (request, reply) => {
      if (gate === null) throw new Refusal('not-possible', 'expected access to be set up');
      const address = request.socket.remoteAddress ?? '';
      const signed = await gate.signIn({ ...request.body, address });
      if (signed === 'wrong')
        throw new Refusal('wrong-sign-in', 'expected a name and its passphrase, found others');
      if (signed === 'too-many-tries')
        throw new Refusal('too-many-tries', 'expected fewer tries: wait a minute');
      // What the browser had before is of no more use to anybody.
      const before = tokenIn(request.headers.cookie ?? '');
      if (before !== null) gate.signOut(before);
      setCookie(reply, signed.token, new Date(signed.expiresS * 1000));
      return { signIn: true, who: shown(signed.who) };
    },
  );
}

function routeOut(api: FastifyInstance, { gate }: Served): void {
  const schema = {
    summary: 'Sign out: the session is over',
    body: NOTHING,
    response: answers('Always', SIGNED_OUT),
  };
  api.post('/sign-out', { schema, config }, (request, reply) => {
    const token = tokenIn(request.headers.cookie ?? '');
    if (token !== null) gate?.signOut(token);
    setCookie(reply, '', new Date(0));
    return { out: true };
  });
}

function setCookie(reply: FastifyReply, token: string, expires: Date): void {
  const rules = 'Path=/; Secure; HttpOnly; SameSite=Strict';
  reply
    .header('set-cookie', `${COOKIE}=${token}; Expires=${expires.toUTCString()}; ${rules}`)
    .header('cache-control', 'no-store');
}

const shown = ({ role, name, well }: Who) => (role === 'nobody' ? null : { role, name, well });
