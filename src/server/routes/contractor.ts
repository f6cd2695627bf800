import type { FastifyInstance, FastifyReply } from 'fastify';
import Type, { type Static } from 'typebox';
import { answers, TEXT } from '../answers.ts';
import { livingOf, OF_WELL, type OfWell, Turns, wellOf } from '../ask.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';

const ASKED = Type.Object(
  {
    complaint: Type.Optional(
      Type.String({ maxLength: 600, description: 'in the words of the keeper' }),
    ),
    by: Type.Optional(Type.String({ maxLength: 64, description: 'who makes it, as typed' })),
  },
  { additionalProperties: false },
);
const TYPES = { html: 'text/html; charset=utf-8', pdf: 'application/pdf' } as const;

/** It needs nothing beside itself, runs nothing, and is framed by nobody. */
const ALONE =
  "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; " +
  "frame-ancestors 'none'; sandbox";

/** The page for the contractor, made of what is known now. */
export function routeContractor(api: FastifyInstance, served: Served): void {
  const turns = new Turns(served);
  for (const form of ['html', 'pdf'] as const) {
    const schema = {
      summary: `The page for the contractor, ${form.toUpperCase()}`,
      params: OF_WELL,
      querystring: ASKED,
      response: answers('Two pages: docs/contractor.md', TEXT, TYPES[form]),
    };
    api.get<{ Params: OfWell; Querystring: Static<typeof ASKED> }>(
      `/wells/:well/contractor.${form}`,
      { schema },
      async ({ params, query }, reply: FastifyReply) => {
        const id = wellOf(served, params);
        const { well } = livingOf(served, id);
        turns.take(reply);
        const study = await served.wells.study(id);
        if (study === null) throw new Refusal('no-readings', `none of ${id}`);
        const { complaint = '', by = '' } = query;
        const page = await served.contractorPages[form]({ study, well, complaint, by });
        reply.header('x-content-type-options', 'nosniff');
        // A browser shows no PDF in a sandbox.
        if (form === 'html') reply.header('content-security-policy', ALONE);
        else reply.header('content-disposition', `inline; filename="${id}-contractor.pdf"`);
        return reply
          .type(TYPES[form])
          .serializer((body: unknown) => body as string)
          .send(page);
      },
    );
  }
}
