import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import { formatIssue } from '../../wellfile/issue.ts';
import { parseWellFile } from '../../wellfile/parse.ts';
import { answers } from '../answers.ts';
import { MADE_WELL, WAYS_IN } from '../guided-answers.ts';
import { takeJson } from '../json-body.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';
import { orRefused } from './guided-acts.ts';

const TEXT = Type.Object({ text: Type.String() }, { additionalProperties: false });

/** Wells that come while the service runs, and where their devices hand in. */
export function routeNewWells(api: FastifyInstance, served: Served): void {
  api.register(async (own) => {
    takeJson(own, served.limits, served.limits.fileBytes);
    const schema = {
      summary: 'A new well, from the text of its file',
      body: TEXT,
      response: answers('{ well }: its id. A text with errors is `file-errors` (422)', MADE_WELL),
    };
    own.post<{ Body: Static<typeof TEXT> }>(
      '/wells',
      { schema },
      async ({ body: { text }, who }) => {
        const read = parseWellFile(text);
        if (!read.ok) {
          const says = read.issues.map((issue) => formatIssue(issue, 'well file')).join('\n');
          throw new Refusal('file-errors', says, { errors: read.issues });
        }
        const { well, told } = read;
        await orRefused(served.makeWell({ well, told, text, by: served.gate && who.name }));
        return { well: well.id };
      },
    );
  });
  const ways = {
    summary: 'Where a device hands in its readings',
    response: answers('`mqttPort`: null where readings come by HTTP alone', WAYS_IN),
  };
  api.get('/ways-in', { schema: ways }, async () => served.waysIn());
}
