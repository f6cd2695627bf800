import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import { BookRefusal } from '../../book/refusal.ts';
import type { WellBook } from '../../book/well-book.ts';
import { BLOCK_TABLES, type WellFileBlock } from '../../wellfile/add-block.ts';
import type { KeyValues } from '../../wellfile/with-keys.ts';
import { answers } from '../answers.ts';
import { BY, OF_WELL, type OfWell, wellOf } from '../ask.ts';
import { WELL_TEXT } from '../book-answers.ts';
import { takeJson } from '../json-body.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';

const BASED_ON = Type.String({
  pattern: '^[0-9a-f]{64}$',
  description: '`hash` of the text that it is based on',
});
const WHOLE = Type.Object(
  { by: BY, basedOn: BASED_ON, text: Type.String() },
  { additionalProperties: false },
);
const BLOCK = Type.Object(
  {
    by: BY,
    basedOn: Type.Optional(BASED_ON),
    table: Type.Enum([...BLOCK_TABLES]),
    values: Type.Record(Type.String(), Type.Unknown(), {
      description: 'keys as in docs/formats/well-file.md; times are text',
    }),
  },
  { additionalProperties: false },
);
const SENSING = Type.Object(
  {
    by: BY,
    basedOn: Type.Optional(BASED_ON),
    keys: Type.Record(Type.String({ pattern: '^[a-z]+\\.[a-z_]+$' }), Type.Unknown(), {
      description: 'keys of docs/formats/sensing.md, as `pressure.range`; null takes one out',
      additionalProperties: false,
    }),
  },
  { additionalProperties: false },
);
const SAYS =
  'The text, its hash, and all that is wrong in it. Another text than the one it is based on is ' +
  '`file-changed` (409), a text with errors `file-errors` (422) with `errors` and `text`; then ' +
  'nothing has changed.';

export function bookOf(served: Served, of: OfWell): WellBook {
  const id = wellOf(served, of);
  const book = served.book(id);
  if (book !== null) return book;
  throw new Refusal('no-analysis', `${id} has no well file that can be used`);
}

/** What a wish comes to; one that cannot be met is a refusal. */
export async function inBook<T>(act: () => Promise<T>): Promise<T> {
  try {
    return await act();
  } catch (error) {
    if (!(error instanceof BookRefusal)) throw error;
    const { code, message, issues } = error;
    throw new Refusal(code, message, code === 'file-errors' ? { errors: issues } : {});
  }
}

const SCHEMA = { params: OF_WELL, response: answers(SAYS, WELL_TEXT) };

/** The well file as the keeper wrote it, and changes to it. */
export function routeWellText(api: FastifyInstance, served: Served): void {
  const { fileBytes, blockBytes } = served.limits;
  api.register(async (own) => {
    takeJson(own, served.limits, fileBytes);
    const schema = { ...SCHEMA, summary: 'The well file as it is written' };
    own.get<{ Params: OfWell }>('/wells/:well/file-text', { schema }, ({ params }) =>
      inBook(() => bookOf(served, params).file()),
    );
    const whole = { ...SCHEMA, summary: 'Put a whole new text in its place', body: WHOLE };
    own.put<{ Params: OfWell; Body: Static<typeof WHOLE> }>(
      '/wells/:well/file-text',
      { schema: whole },
      ({ params, body: { text, basedOn, by } }) =>
        inBook(() => bookOf(served, params).replace(text, basedOn, by)),
    );
  });
  api.register(async (own) => {
    takeJson(own, served.limits, blockBytes);
    const schema = { ...SCHEMA, summary: 'Add a service, a test or a calibration', body: BLOCK };
    own.post<{ Params: OfWell; Body: Static<typeof BLOCK> }>(
      '/wells/:well/file-text/blocks',
      { schema },
      ({ params, body: { by, basedOn, table, values } }) => {
        const block = { table, values: values as WellFileBlock['values'] };
        return inBook(() => bookOf(served, params).add(block, by, basedOn));
      },
    );
    const chain = { ...SCHEMA, summary: 'Tell the measuring chain, key by key', body: SENSING };
    own.post<{ Params: OfWell; Body: Static<typeof SENSING> }>(
      '/wells/:well/file-text/sensing',
      { schema: chain },
      ({ params, body: { by, basedOn, keys } }) =>
        inBook(() => bookOf(served, params).tellSensing(keys as KeyValues, by, basedOn)),
    );
  });
}
