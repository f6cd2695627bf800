import type { FastifyInstance } from 'fastify';
import type { Served } from '../served.ts';

/** The certificate that a phone is to trust, for whoever can reach it: it is no secret. */
export function routeAuthority(app: FastifyInstance, { gate }: Served): void {
  if (gate === null) return;
  const route = { schema: { hide: true }, config: { may: 'anyone' } } as const;
  app.get('/ca.crt', route, (_request, reply) =>
    reply.type('application/x-x509-ca-cert').send(gate.authority),
  );
}
