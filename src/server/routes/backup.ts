import type { FastifyInstance } from 'fastify';
import Type from 'typebox';
import { answers, TEXT } from '../answers.ts';
import { BY, Turns } from '../ask.ts';
import { takeJson } from '../json-body.ts';
import type { Served } from '../served.ts';
import { orRefused } from './guided-acts.ts';

const ASKED = Type.Object({ by: BY }, { additionalProperties: false });
const TYPE = 'application/vnd.sqlite3';

/** A copy of all that is kept, for the owner to take away; one at a time. */
export function routeBackup(api: FastifyInstance, served: Served): void {
  const turns = new Turns(served, 1);
  api.register(async (own) => {
    takeJson(own, served.limits);
    const schema = {
      summary: 'A checked copy of the store, as `store backup` makes it',
      body: ASKED,
      response: answers('The file; `store restore` brings it back', TEXT, TYPE),
    };
    own.post('/backup', { schema }, async (_request, reply) => {
      turns.take(reply);
      const { bytes, body } = await orRefused(served.backup());
      reply.header('content-length', bytes);
      reply.header('content-disposition', 'attachment; filename="wellwright-backup.sqlite"');
      return reply.type(TYPE).send(body);
    });
  });
}
