import type { FastifyInstance } from 'fastify';
import type { ServerLimits } from './limits.ts';
import { Refusal } from './problems.ts';

/** Routes of this scope take what is asked as JSON of a bounded length, and nothing else. */
export function jsonAsked(own: FastifyInstance, limits: ServerLimits): void {
  own.addContentTypeParser(
    'application/json',
    { parseAs: 'string', bodyLimit: limits.askBytes },
    own.getDefaultJsonParser('error', 'error'),
  );
  own.addContentTypeParser('*', (_request, _body, done) =>
    done(new Refusal('wrong-type', 'expected application/json')),
  );
}
