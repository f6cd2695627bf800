import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import { reminders } from '../../book/reminders.ts';
import type { CleanPhoto } from '../../book/well-book.ts';
import { NOTE_ABOUT } from '../../model/book.ts';
import { cleanPhoto } from '../../photo/clean.ts';
import { PhotoRefused } from '../../photo/photo.ts';
import { answers, TEXT } from '../answers.ts';
import { BY, livingOf, OF_WELL, type OfWell, Turns, wellOf } from '../ask.ts';
import { BOOK, BOOK_ENTRY, COMES_ROUND } from '../book-answers.ts';
import { takeJson } from '../json-body.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';
import { bookOf, inBook } from './well-text.ts';

const NOTE = (photos: number) =>
  Type.Object(
    {
      by: BY,
      on: Type.Optional(Type.String({ format: 'date-time', description: 'without it: now' })),
      about: Type.Optional(Type.Enum([...NOTE_ABOUT])),
      says: Type.String({ maxLength: 4000 }),
      photos: Type.Optional(
        Type.Array(Type.String({ description: 'JPEG, PNG or WebP as base64' }), {
          maxItems: photos,
        }),
      ),
    },
    { additionalProperties: false },
  );
const OF_ENTRY = Type.Object({
  well: OF_WELL.properties.well,
  entry: Type.String({ maxLength: 40, description: 'id of the entry' }),
});
const OF_PHOTO = Type.Object({
  ...OF_ENTRY.properties,
  place: Type.Integer({ minimum: 0, description: 'which photo, from 0' }),
});

/** What a browser makes of a picture that somebody handed in: a picture and nothing else. */
const AS_PICTURE = {
  'content-security-policy': "default-src 'none'; frame-ancestors 'none'; sandbox",
  'x-content-type-options': 'nosniff',
  'cache-control': 'private, max-age=31536000, immutable',
};

/** Who did what when, and notes with photos. */
export function routeBook(api: FastifyInstance, served: Served): void {
  const { noteBytes, photos, longBodies, records } = served.limits;
  const schema = {
    summary: 'The journal: who did what when, by the time it came',
    params: OF_WELL,
    response: answers('{ entries }, the latest where there are many: docs/book.md', BOOK),
  };
  api.get<{ Params: OfWell }>('/wells/:well/book', { schema }, async ({ params }) => ({
    entries: (await bookOf(served, params).entries()).slice(-records),
  }));
  routeAttached(api, served);
  routeDue(api, served);
  api.register(async (own) => {
    takeJson(own, served.limits, noteBytes);
    const turns = new Turns(served, longBodies);
    own.addHook('onRequest', async (_request, reply) => turns.take(reply));
    const body = NOTE(photos);
    const note = {
      summary: 'Note something, with photos',
      params: OF_WELL,
      body,
      response: answers('The entry, once it is durably kept', BOOK_ENTRY),
    };
    own.post<{ Params: OfWell; Body: Static<typeof body> }>(
      '/wells/:well/book',
      { schema: note },
      ({ params, body: { by, on, about = 'other', says, photos: given = [] } }) =>
        inBook(() => bookOf(served, params).note({ by, on, about, says }, given.map(cleaned))),
    );
  });
}

function routeDue(api: FastifyInstance, served: Served): void {
  const schema = {
    summary: 'What comes round every year, and when it is due',
    params: OF_WELL,
    response: answers('{ reminders }, null where the book has no date: docs/book.md', COMES_ROUND),
  };
  api.get<{ Params: OfWell }>('/wells/:well/due', { schema }, async ({ params }) => {
    const { well } = livingOf(served, wellOf(served, params));
    return { reminders: reminders(well, await bookOf(served, params).entries()) };
  });
}

function routeAttached(api: FastifyInstance, served: Served): void {
  const photo = {
    summary: 'A photo of an entry',
    params: OF_PHOTO,
    response: answers('The picture', TEXT, 'image/*'),
  };
  api.get<{ Params: Static<typeof OF_PHOTO> }>(
    '/wells/:well/book/:entry/photos/:place',
    { schema: photo },
    async ({ params }, reply) => {
      const found = await bookOf(served, params).photo(params.entry, params.place);
      if (found === null) throw new Refusal('unknown-entry', 'expected a photo, found none');
      reply.headers(AS_PICTURE).type(found.photo.type);
      return reply.send(Buffer.from(found.base64, 'base64'));
    },
  );
  const before = {
    summary: 'The well file as it stood before a change',
    params: OF_ENTRY,
    response: answers('The text', TEXT, 'text/plain'),
  };
  api.get<{ Params: Static<typeof OF_ENTRY> }>(
    '/wells/:well/book/:entry/file-before',
    { schema: before },
    async ({ params }, reply) => {
      const text = await bookOf(served, params).fileBefore(params.entry);
      if (text === null) throw new Refusal('unknown-entry', 'expected a change, found none');
      return reply.type('text/plain; charset=utf-8').serializer(String).send(text);
    },
  );
}

function cleaned(base64: string, place: number): CleanPhoto {
  try {
    const { bytes, ...about } = cleanPhoto(Buffer.from(base64, 'base64'));
    const photo = { ...about, bytes: bytes.length };
    return { photo, base64: Buffer.from(bytes).toString('base64') };
  } catch (error) {
    if (!(error instanceof PhotoRefused)) throw error;
    throw new Refusal('bad-photo', `photo ${place + 1}: ${error.message} (${error.code})`);
  }
}
