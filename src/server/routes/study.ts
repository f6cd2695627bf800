import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Outline, Study } from '../../model/study.ts';
import { answers, TEXT as PLAIN } from '../answers.ts';
import { livingOf, OF_WELL, type OfWell, Turns, wellOf } from '../ask.ts';
import { OUTLINE_SCHEMA, STUDY_SCHEMA } from '../documents.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';

const SAYS =
  'What `study` says of every reading kept so far, as if the log ended here: ' +
  'docs/formats/study.md. Long while readings of the past are being read again.';
const OUTLINE =
  'The study without its runs, days, draws and findings, which have addresses of their own: ' +
  'span, scale, what is not known, tests, learnt pump, recovery, as of when those records were ' +
  'brought up to date.';
const TEXT = 'The same as people read it, in the units of the well file.';

/** The whole study, for programs and for people. */
export function routeStudy(api: FastifyInstance, served: Served): void {
  const turns = new Turns(served);
  const studyOf = async (params: OfWell, reply: FastifyReply): Promise<Study> => {
    const well = wellOf(served, params);
    livingOf(served, well);
    turns.take(reply);
    const study = await served.wells.study(well);
    if (study === null) throw new Refusal('no-readings', `none of ${well}`);
    return study;
  };
  const schema = {
    summary: 'The whole study',
    params: OF_WELL,
    response: answers(SAYS, STUDY_SCHEMA),
  };
  api.get<{ Params: OfWell }>('/wells/:well/study', { schema }, ({ params }, reply) =>
    studyOf(params, reply),
  );
  const outline = {
    ...schema,
    summary: 'The study in short',
    response: answers(OUTLINE, OUTLINE_SCHEMA),
  };
  api.get<{ Params: OfWell }>(
    '/wells/:well/outline',
    { schema: outline },
    async ({ params }, reply): Promise<Outline> => {
      const kept = livingOf(served, wellOf(served, params)).outline();
      if (kept !== null) return kept;
      const { runs, days, draws, findings, ...rest } = await studyOf(params, reply);
      return rest;
    },
  );
  const text = {
    ...schema,
    summary: 'The whole study as text',
    response: answers(TEXT, PLAIN, 'text/plain'),
  };
  api.get<{ Params: OfWell }>(
    '/wells/:well/study.txt',
    { schema: text },
    async (request, reply) => {
      const study = await studyOf(request.params, reply);
      return reply
        .type('text/plain; charset=utf-8')
        .serializer(String)
        .send(served.textOf(study, livingOf(served, study.well).well));
    },
  );
}
